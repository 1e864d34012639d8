"""The region of a part that was said without it: that of the region in hand, else a question."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from dictate.matching.gazetteer import Option
from dictate.matching.place import Place
from dictate.matching.spots import Spot

EDGES = (("border",), ("edge",), ("margin",))
"""Words for an edge, which may be that of the lesion."""
_ANY_PART = frozenset({"part", "portion", "back", "front"})
"""Last words of parts that any region has ("posterior part")."""


def inferred(
    place: Place, parts: Sequence[Spot], options: list[Option], contexts: Sequence[str | None]
) -> Place:
    """A part said without its region: that of the region in hand, else a question."""
    place = replace(place, inferred=True)
    in_hand = [option for at in contexts for option in options if option[0] == at]
    if in_hand:
        edge = next((" ".join(spot.said) for spot in parts if spot.said in EDGES), None)
        why = f"“{edge}” may be of the {in_hand[0][0]} or of the lesion"
        both = (("region", why), ("subsite", why)) if edge else _badly_heard(parts)
        return replace(place, region=in_hand[0][0], subsite=in_hand[0][1], doubts=both)
    said = " ".join(spot.phrase.text for spot in parts if spot.phrase)
    regions = list(dict.fromkeys(region for region, _ in options))
    if len(regions) == 1 and all(_tells_region(spot) for spot in parts):
        return replace(place, region=regions[0], subsite=options[0][1])
    if len(regions) == 1:
        why = f"the region was told from “{said}” alone"
        doubts = (("region", why),)
        return replace(place, region=regions[0], subsite=options[0][1], doubts=doubts)
    others = tuple(("region", region) for region in regions)
    doubts = (("region", f"“{said}” is a part of several regions"),)
    return replace(place, others=others, doubts=doubts)


def _badly_heard(parts: Sequence[Spot]) -> tuple[tuple[str, str], ...]:
    """A part that is only like what was said may be no part, and then the region is not told."""
    like = [s.phrase.text for s in parts if s.phrase and (s.likely or s.phrase.misheard)]
    return tuple(("region", f"heard as something like “{text}”") for text in like[:1])


def _tells_region(spot: Spot) -> bool:
    """True for several exact words that only one region has ("lateral border")."""
    phrase = spot.phrase
    if phrase is None or spot.likely is not None or phrase.misheard:
        return False
    several = len(phrase.words) > 1 and phrase.words[-1] not in _ANY_PART
    return several and len(phrase.regions) == 1
