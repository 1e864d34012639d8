"""How alike misheard words are to a phrase, by spelling and by sound together.

Spaces are taken out first: engines split rare words ("leuko plakia"). Spelling and the
Double Metaphone key count half each; on misheard clinical phrases that average kept further
from everyday talk than either alone.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

import numpy as np
from metaphone import doublemetaphone
from rapidfuzz.distance import Indel

from dictate.matching.grammar import FUNCTION
from dictate.matching.thresholds import ASK, ASK_DETAIL, ASK_WORD, FUZZY_LETTERS
from dictate.vocabulary.schema import EXACT_SLOTS, Phrase, Slot

_NEVER = EXACT_SLOTS | {
    Slot.COMMAND,
    Slot.NORMAL,
    Slot.NOT_EXAMINED,
    Slot.FILLER,
    Slot.CARRY,
    Slot.DISTRIBUTION,
    Slot.TENDER,
    Slot.WIPES_OFF,
    Slot.NOTE,
}
"""Slots where a near miss would turn the meaning round or invent a statement."""
_NAMES = frozenset({Slot.REGION, Slot.SUBSITE, Slot.KIND, Slot.NORMAL_VARIANT})
_CACHE = 4096
_LEAST_SHARED = 0.38
_MOST_SCORED = 60
_RUNNERS_UP = 12.0


@dataclass(frozen=True, slots=True)
class Likely:
    """A phrase that heard words may stand for."""

    phrase: Phrase
    score: float
    """0 to 100."""
    runner_up: Phrase | None
    """The next best phrase of the same slot with another meaning."""
    margin: float
    """Lead over the runner-up."""


@lru_cache(maxsize=_CACHE)
def sound_key(text: str) -> str:
    """The Double Metaphone key of a text without spaces."""
    return str(doublemetaphone(text)[0])


def likeness(heard: str, heard_sound: str, said: str, said_sound: str) -> float:
    """0 to 100 for two texts without spaces and their sound keys."""
    spelling = Indel.normalized_similarity(heard, said)
    sound = Indel.normalized_similarity(heard_sound, said_sound)
    return 50.0 * (spelling + sound)


class Likenesses:
    """The phrases that may be matched by likeness, indexed by the letter pairs they hold."""

    def __init__(self, phrases: Sequence[Phrase]) -> None:
        self._entries: list[tuple[Phrase, str, str]] = []
        for phrase in phrases:
            letters = "".join(phrase.words)
            if not phrase.exact and phrase.slot not in _NEVER and len(letters) >= FUZZY_LETTERS:
                self._entries.append((phrase, letters, sound_key(letters)))
        holding: dict[str, list[int]] = defaultdict(list)
        for entry, (_, letters, sound) in enumerate(self._entries):
            for pair in _pairs(letters, sound):
                holding[pair].append(entry)
        self._holding = {pair: np.array(entries) for pair, entries in holding.items()}
        self._known: dict[str, tuple[Likely, ...]] = {}

    def __len__(self) -> int:
        return len(self._entries)

    def best(self, words: Sequence[str]) -> tuple[Likely, ...]:
        """The likeliest phrase of each slot at or above the asking threshold, best first."""
        letters = "".join(words)
        if len(letters) < FUZZY_LETTERS:
            return ()
        known = self._known.get(letters)
        if known is None:
            if len(self._known) >= _CACHE:
                self._known.clear()
            known = self._known[letters] = self._search(letters)
        telling = sum(word not in FUNCTION for word in words)
        least = ASK if telling > 1 else ASK_WORD
        return tuple(each for each in known if each.score >= max(least, _least(each)))

    def _search(self, letters: str) -> tuple[Likely, ...]:
        sound = sound_key(letters)
        by_slot: dict[Slot, list[tuple[float, int]]] = defaultdict(list)
        for entry in self._candidates(letters, sound):
            phrase, other, other_sound = self._entries[entry]
            score = likeness(letters, sound, other, other_sound)
            if score >= ASK - _RUNNERS_UP:
                by_slot[phrase.slot].append((score, entry))
        found = (self._lead(scored) for scored in by_slot.values())
        kept = (each for each in found if each.score >= ASK)
        return tuple(sorted(kept, key=lambda each: -each.score))

    def _candidates(self, letters: str, sound: str) -> list[int]:
        """The entries that share most pairs, if they share enough to be worth scoring."""
        pairs = _pairs(letters, sound)
        holding = [self._holding[pair] for pair in pairs if pair in self._holding]
        if not holding:
            return []
        shared = np.bincount(np.concatenate(holding))
        enough = np.flatnonzero(shared >= max(1, int(_LEAST_SHARED * len(pairs))))
        if len(enough) > _MOST_SCORED:
            enough = enough[np.argsort(-shared[enough], kind="stable")[:_MOST_SCORED]]
        return [int(entry) for entry in enough]

    def _lead(self, scored: list[tuple[float, int]]) -> Likely:
        scored.sort(key=lambda pair: (-pair[0], pair[1]))
        score, best = scored[0]
        phrase = self._entries[best][0]
        for other_score, entry in scored[1:]:
            other = self._entries[entry][0]
            if (other.value, other.fills) != (phrase.value, phrase.fills):
                return Likely(phrase, score, other, score - other_score)
        return Likely(phrase, score, None, score)


def _least(likely: Likely) -> float:
    return ASK if likely.phrase.slot in _NAMES else ASK_DETAIL


def _pairs(letters: str, sound: str) -> set[str]:
    """Pairs of neighbouring letters of the spelling and (in capitals) of the sound."""
    pairs = {left + right for left, right in pairwise(letters)}
    pairs.update(left + right for left, right in pairwise(sound))
    return pairs
