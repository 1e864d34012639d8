"""What a tooth that was named says of the place beside it: which jaw, and which side."""

from __future__ import annotations

from dictate.matching.draft import Draft
from dictate.matching.gazetteer import Gazetteer
from dictate.matching.place import Place
from dictate.matching.spots import Mark

_OTHER_ARCH = {"upper": {"lower", "mandibular"}, "lower": {"upper", "maxillary"}}
"""Words of parts of the other jaw than a tooth's."""


def part_of_arch(draft: Draft, gazetteer: Gazetteer) -> None:
    """ "The gum around the upper left canine": of the upper jaw, told from the tooth."""
    region, held = str(draft.get("region")), draft.get("subsite")
    if not (draft.arch or draft.aspect):
        return
    if _OTHER_ARCH.get(draft.arch, set()).intersection(str(held or "").split()):
        draft.doubt("subsite", f"the tooth that was named is of the {draft.arch} jaw")
        return
    told = [word for word in (draft.arch, draft.aspect, *str(held or "").split()) if word]
    part = gazetteer.part(region, *told)
    if part is not None and part != held:
        draft.put("subsite", part)
        draft.doubt("subsite", f"told from the {' '.join(told[:1])} tooth")


def beside_tooth(draft: Draft, place: Place) -> None:
    """ "Right gingiva at tooth three six": the tooth is a left one, and one of the two is wrong."""
    told = draft.get("side")
    of_tooth = any(spot.mark is Mark.TOOTH for spot in draft.evidence.get("side", ()))
    if of_tooth and place.side in ("left", "right") and place.side != told:
        draft.doubt("side", f"the tooth that was named lies on the {told}")
