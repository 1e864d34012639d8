"""A place that puts right that of the finding before: "that is the lingual side, not the buccal".

The place that is denied must be the one that the finding has; the new one is asked about.
"""

from __future__ import annotations

from dataclasses import replace

from dictate.exam.finding import FindingFields
from dictate.matching.clause import Clause
from dictate.matching.gazetteer import Gazetteer, spot_options
from dictate.matching.place import SITES, Place
from dictate.matching.placing import Here
from dictate.matching.spots import Spot
from dictate.vocabulary.schema import Slot


def puts_right(clause: Clause, place: Place, here: Here) -> bool:
    """True if another place is said of the finding before, and its own one denied."""
    last = here.last
    if last is None or place.region not in (None, last.region):
        return False
    denied = _denied(clause, last)
    return bool(denied) and (place.subsite is not None or any(s.slot is Slot.SIDE for s in denied))


def put_right(place: Place, clause: Clause, last: FindingFields, gazetteer: Gazetteer) -> Place:
    """The place with what its part keeps of the old one ("mandibular" of the lingual side)."""
    if place.subsite is None or last.subsite is None or last.region is None:
        return place
    gone = {word for spot in _denied(clause, last) for word in spot.said}
    kept = {*last.subsite.split()} - gone
    part = gazetteer.part(last.region, *kept, *place.subsite.split())
    return place if part is None else replace(place, subsite=part)


def _denied(clause: Clause, last: FindingFields) -> list[Spot]:
    spots = [item for item in clause.items if isinstance(item, Spot) and item.negated]
    return [spot for spot in spots if spot.slot in SITES and _is_of(spot, last)]


def _is_of(spot: Spot, last: FindingFields) -> bool:
    if spot.slot is Slot.SIDE:
        return spot.phrase is not None and spot.phrase.value == last.side
    if last.subsite is None:
        return False
    named = (last.region, last.subsite) in spot_options(spot)
    return named or bool({*spot.said} & {*last.subsite.split()})
