"""Utterances of several sentences, each of which says where and what by itself."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from dictate.matching.items import LESIONS, is_lesion
from dictate.matching.negation import Sentence
from dictate.matching.spots import Mark, Spot
from dictate.vocabulary.schema import Slot

_STATED = frozenset({Slot.NORMAL, Slot.NOT_EXAMINED})
_TELLING = frozenset({Slot.COLOUR, Slot.SURFACE, Slot.CONSISTENCY, Slot.TENDER, Slot.SYMPTOM})
_NAMED = frozenset({Slot.REGION, Slot.SUBSITE, Slot.NODE_LEVEL})


def standing(sentence: Sentence) -> list[Sentence]:
    """The sentences of an utterance that stand by themselves; one if they lean on each other.

    "Left buccal mucosa. White plaque. Ten millimetres." is one; "Hard palate, ulcer. Floor of
    mouth, swelling." are two. Each keeps the words and indices of the whole.
    """
    parts = _cut(sentence)
    made: list[list[Spot]] = []
    for part in parts:
        apart = bool(made) and _stands(made[-1], first=True) and _stands(part, first=False)
        if apart and not (_named_again(made[-1], part) or _heads(made[-1], part)):
            made.append(list(part))
        elif made:
            made[-1] += part
        else:
            made.append(list(part))
    return [replace(sentence, spots=tuple(part)) for part in made]


def _cut(sentence: Sentence) -> list[list[Spot]]:
    parts: list[list[Spot]] = [[]]
    for spot in sentence.spots:
        if spot.start in sentence.stops and parts[-1]:
            parts.append([])
        parts[-1].append(spot)
    return parts


def _stands(spots: Sequence[Spot], *, first: bool) -> bool:
    """True if the spots say where and what; a statement may say no more than the side."""
    stated = any(spot.slot in _STATED and not spot.negated for spot in spots)
    stated = stated or (not first and _denies(spots))
    levelled = any(spot.slot is Slot.NODE_LEVEL for spot in spots)
    lesion = levelled or any(is_lesion(spot) or _fills(spot, Slot.KIND) for spot in spots)
    placed = any(
        spot.slot in _NAMED
        or ((is_lesion(spot) or spot.slot is Slot.NORMAL) and _fills(spot, Slot.REGION))
        for spot in spots
    )
    sided = any(spot.slot is Slot.SIDE for spot in spots)
    told = lesion or stated or (any(map(_describes, spots)) and any(map(_names_region, spots)))
    return (placed and told) or (stated and sided and not first)


def _denies(spots: Sequence[Spot]) -> bool:
    """ "Isthmus and right lobe, no nodules": all it says of a lesion is that there is none."""
    named = [s for s in spots if s.slot in LESIONS]
    sized = any(s.size is not None or s.duration is not None for s in spots)
    return bool(named) and all(s.negated for s in named) and not sized


def _named_again(first: Sequence[Spot], second: Sequence[Spot]) -> bool:
    """ "A popping sound. Clicking, right jaw joint": the second says where the first is."""
    if any(spot.slot in _NAMED or spot.slot is Slot.SIDE for spot in first):
        return False
    names = [
        {s.phrase.value for s in part if is_lesion(s) and s.phrase} for part in (first, second)
    ]
    return len(names[0]) == 1 and names[0] == names[1]


def _heads(first: Sequence[Spot], second: Sequence[Spot]) -> bool:
    """ "Level two, left. Hard fixed node": the first says where the second is."""
    placed = _NAMED | {Slot.SIDE}
    small = all(s.slot in placed or s.slot is Slot.FILLER or s.mark is Mark.FUNCTION for s in first)
    return small and not any(spot.slot in placed for spot in second)


def _fills(spot: Spot, slot: Slot) -> bool:
    """True if its very name fixes the slot ("geographic tongue", "occipital node")."""
    return spot.phrase is not None and any(each is slot for each, _ in spot.phrase.fills)


def _describes(spot: Spot) -> bool:
    return spot.slot in _TELLING and not spot.negated


def _names_region(spot: Spot) -> bool:
    """True for a region, or a part that only one has ("left tonsil")."""
    phrase = spot.phrase
    if phrase is None or spot.slot not in _NAMED:
        return False
    return spot.slot is Slot.REGION or _fills(spot, Slot.REGION)
