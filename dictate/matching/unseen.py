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
