"""What was not seen or felt: "oropharynx not seen" was left out, "not seen any ulcers" has none."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from dictate.matching.spots import Mark, Spot
from dictate.vocabulary.schema import Phrase, Slot

NO_REASON = "no reason given"
_LOOKED_FOR = frozenset({"any", "anything", "a", "an"})
_SEEING = (("see",), ("view",), ("visualise",))
_THINGS = frozenset({Slot.KIND, Slot.NORMAL_VARIANT, Slot.SYMPTOM})
_DESCRIBED = frozenset(
    {Slot.COLOUR, Slot.SURFACE, Slot.BORDER, Slot.CONSISTENCY, Slot.DISTRIBUTION, Slot.CHANGE}
)
_COUNTED = (("things",), ("findings",), ("problems",), ("issues",), ("abnormalities",))
"""What is announced by its number ("three findings here")."""
_LOOKING = (("seen",), ("felt",), ("found",), ("noticed",), ("noted",))
"""Words that carry nothing by themselves, but lead from a "not" to what it denies."""


def unseen(spots: Sequence[Spot], words: Sequence[str]) -> Iterator[Spot]:
    """The spots with each "seen" after a "not" told for what it means."""
    for index, spot in enumerate(spots):
        before = spots[index - 1] if index else None
        denied = before is not None and before.mark is Mark.NEGATION and before.end == spot.start
        looked = denied and (spot.slot is Slot.EXAMINED or spot.said in _LOOKING)
        if _looks_for(spots, index):
            yield replace(spot, phrases=(), mark=Mark.NEGATION)
        elif not looked:
            yield spot
        elif words[spot.end : spot.end + 1] and words[spot.end] in _LOOKED_FOR:
            yield replace(spot, phrases=(), mark=Mark.FUNCTION)
        elif spot.slot is Slot.EXAMINED:
            yield replace(spot, phrases=(_left_out(spot),))
        else:
            yield spot


def nil(spots: Sequence[Spot], pauses: frozenset[int]) -> Iterator[Spot]:
    """The spots with each "nil" told apart: "thyroid, nil" is health, "nil pain" a denial."""
    for index, spot in enumerate(spots):
        if spot.said != ("nil",) or spot.slot is not Slot.NORMAL:
            yield spot
            continue
        before = [s for s in spots[:index] if s.mark is not Mark.FUNCTION]
        after = spots[index + 1 : index + 2]
        placed = bool(before) and before[-1].slot in (Slot.REGION, Slot.SUBSITE, Slot.SIDE)
        ends = not after or after[0].start in pauses
        yield spot if placed and ends else replace(spot, phrases=(), mark=Mark.NEGATION)


def numbered(
    spots: Sequence[Spot], pauses: frozenset[int], stops: frozenset[int]
) -> Iterator[Spot]:
    """The spots without the numbers of a list: "One, scar on the chin. Two, mole on the neck"."""
    first = [s for s in spots if _counts_list(s, pauses, stops)]
    things = {s.start for s in spots if s.said in _COUNTED}
    for spot in spots:
        listed = (len(first) > 1 and spot in first) or (
            spot.size is not None and spot.end in things
        )
        yield replace(spot, size=None, mark=Mark.FUNCTION) if listed else spot


def _counts_list(spot: Spot, pauses: frozenset[int], stops: frozenset[int]) -> bool:
    begins = spot.start == 0 or spot.start in stops
    bare = spot.size is not None and not spot.size.led
    return bare and begins and spot.end in pauses


def _looks_for(spots: Sequence[Spot], index: int) -> bool:
    """ "Could not see any ulcer on the tongue": there is none; the tongue was looked at."""
    spot = spots[index]
    if spot.slot is not Slot.NOT_EXAMINED or spot.said[-1:] not in _SEEING:
        return False
    for after in spots[index + 1 :]:
        if after.slot in (Slot.REGION, Slot.SUBSITE, Slot.SIDE):
            return False
        if after.slot in _THINGS or _LOOKED_FOR.intersection(after.said) - {"a", "an"}:
            return True
        if after.mark is not Mark.FUNCTION and after.slot is not Slot.FILLER:
            return after.slot in _DESCRIBED
    return False


def _left_out(spot: Spot) -> Phrase:
    assert spot.phrase is not None
    return spot.phrase.model_copy(update={"slot": Slot.NOT_EXAMINED, "value": NO_REASON})
