"""A bare "in the middle": of the mouth, or of the part in hand?"""

from __future__ import annotations

from dictate.matching.draft import Draft
from dictate.matching.gazetteer import Gazetteer
from dictate.matching.place import Place

_MIDDLE = ("middle",)
_ENDS = frozenset({"anterior", "posterior"})


def middle_of_it(draft: Draft, place: Place | None, gazetteer: Gazetteer) -> None:
    """ "Left border: a papule in front, an ulcer in the middle": of the border, and asked."""
    region = draft.get("region")
    if place is None or not (place.only_side and place.side == "midline") or region is None:
        return
    if place.spots[-1].said[-1:] != _MIDDLE or not gazetteer.has_middle(str(region)):
        return
    core = {*str(draft.get("subsite") or "").split()} - _ENDS
    part = gazetteer.part(str(region), *_MIDDLE, *core) if core else None
    if part is not None:
        draft.put("subsite", part)
        draft.values.pop("side", None)
    for name in ("side", "subsite"):
        draft.doubt(name, "“in the middle”: of the mouth, or of the part in hand?")
