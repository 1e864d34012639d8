"""How alike two spoken forms are, by spelling and by sound."""

from __future__ import annotations

from functools import lru_cache

from metaphone import doublemetaphone
from rapidfuzz.distance import Indel


@lru_cache(maxsize=65_536)
def sound_key(text: str) -> str:
    """The Double Metaphone key of a text, spaces taken out; "" when it has no sound."""
    return str(doublemetaphone(text.replace(" ", ""))[0])


def alike(first: str, second: str) -> float:
    """0 to 100: spelling and sound, half each, both without spaces."""
    spelling = Indel.normalized_similarity(first.replace(" ", ""), second.replace(" ", ""))
    sound = Indel.normalized_similarity(sound_key(first), sound_key(second))
    return 50.0 * (spelling + sound)


def difference(first: tuple[str, ...], second: tuple[str, ...]) -> tuple[str, str]:
    """What is left of two forms when the words they begin and end with alike are taken away.

    A word and its plural count as alike ("node", "nodes").
    """
    start = 0
    shorter = min(len(first), len(second))
    while start < shorter and _same(first[start], second[start]):
        start += 1
    end = 0
    while end < shorter - start and _same(first[-1 - end], second[-1 - end]):
        end += 1
    return (
        " ".join(first[start : len(first) - end]),
        " ".join(second[start : len(second) - end]),
    )


def _same(one: str, other: str) -> bool:
    short, long = sorted((one, other), key=len)
    return one == other or long in (short + "s", short + "e", short + "es")
