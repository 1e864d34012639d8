"""Words for a jaw beside a region that is of that jaw by itself: they name no part of it."""

from __future__ import annotations

from collections.abc import Iterable

from dictate.matching.gazetteer import Gazetteer
from dictate.matching.negation import Sentence
from dictate.matching.spots import Mark, Spot
from dictate.vocabulary.schema import Slot

_JAWS = {"upper": "upper", "maxillary": "upper", "lower": "lower", "mandibular": "lower"}


def tells_jaw(sentence: Sentence, spot: Spot, gazetteer: Gazetteer) -> bool:
    """ "Mandibular left retromolar area", "behind the last molar on the lower left"."""
    jaw = _JAWS.get(sentence.said(spot)[0])
    if spot.slot is not Slot.SUBSITE or jaw is None or spot.end - spot.start > 1:
        return False
    before = [each for each in reversed(sentence.spots) if each.end <= spot.start]
    after = [each for each in sentence.spots if each.start >= spot.end]
    place = _next_place(after) or _next_place(before)
    if place is None or place.slot is not Slot.REGION or place.phrase is None:
        return False
    return gazetteer.jaw(str(place.phrase.value)) == jaw


def _next_place(spots: Iterable[Spot]) -> Spot | None:
    """The region or part that is named next, over sides and small words."""
    for spot in spots:
        if spot.slot in (Slot.REGION, Slot.SUBSITE):
            return spot
        if spot.mark is not Mark.FUNCTION and spot.slot not in (Slot.FILLER, Slot.SIDE):
            return None
    return None
