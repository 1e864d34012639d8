"""Two places of one finding made one; where they cannot be one, a question."""

from __future__ import annotations

from dataclasses import replace

from dictate.matching.gazetteer import Gazetteer
from dictate.matching.place import Place
from dictate.vocabulary.schema import Slot

NECK = "neck"
_NODES = "lymph nodes"


def merge(first: Place, second: Place, gazetteer: Gazetteer) -> Place:
    """Both as one place; where they cannot be one, the first with a doubt."""
    named = [s for s in (*first.spots, *second.spots) if s.slot in (Slot.REGION, Slot.SUBSITE)]
    agreed = gazetteer.options(named)
    spots = (*first.spots, *second.spots)
    doubts = first.doubts + second.doubts
    merged = replace(first, spots=spots, others=first.others + second.others)
    if _nodes_of_neck(first, second):
        merged = replace(merged, region=_NODES)
    elif agreed:
        region, subsite = agreed[0]
        if first.region and any(region == first.region for region, _ in agreed):
            region, subsite = next(each for each in agreed if each[0] == first.region)
        settled = (first.region and not first.inferred) or (second.region and not second.inferred)
        if settled:
            doubts = _beyond_inference(first) + _beyond_inference(second)
        merged = replace(merged, region=region, subsite=subsite or first.subsite)
    elif first.only_side and second.only_level:
        merged = replace(merged, region=second.region)
    elif second.region or second.subsite:
        merged, doubts = _at_odds(merged, second, doubts)
    merged = replace(merged, doubts=doubts, level=first.level or second.level)
    merged = replace(merged, implied=first.implied + second.implied)
    merged = replace(merged, beside=first.beside or second.beside)
    return _sided(merged, first, second)


def _nodes_of_neck(first: Place, second: Place) -> bool:
    """ "Lymph nodes, right neck": the neck says no more than which side."""
    neck, nodes = (first, second) if first.region == NECK else (second, first)
    named = any(spot.slot is Slot.REGION for spot in nodes.spots)
    return (neck.region, nodes.region, neck.subsite) == (NECK, _NODES, None) and named


def _beyond_inference(place: Place) -> tuple[tuple[str, str], ...]:
    """Its doubts, without that of a region told from a part, which the other place settles."""
    return tuple(d for d in place.doubts if not (place.inferred and d[0] == "region"))


def _at_odds(
    merged: Place, second: Place, doubts: tuple[tuple[str, str], ...]
) -> tuple[Place, tuple[tuple[str, str], ...]]:
    if merged.region is None and second.region in _regions_of(merged):
        why = f"two parts were said: {words_of_place(merged)} and {second.subsite}"
        return replace(merged, region=second.region, subsite=second.subsite), (
            *(each for each in doubts if each[0] != "region"),
            ("subsite", why),
        )
    if merged.region is None:
        why = f"“{words_of_place(second)}” and “{words_of_place(merged)}” do not go together"
        return replace(merged, region=second.region, subsite=second.subsite), (
            *doubts,
            ("region", why),
        )
    if merged.inferred and second.region and not second.inferred:
        why = f"“{words_of_place(merged)}” and “{words_of_place(second)}” were said"
        others = (*merged.others, ("region", str(merged.region)))
        kept = tuple(each for each in doubts if each[0] not in ("region", "subsite"))
        made = replace(merged, region=second.region, subsite=second.subsite, others=others)
        return replace(made, inferred=False), (*kept, ("region", why))
    if second.region and second.region != merged.region:
        why = f"two regions were said: {merged.region} and {second.region}"
        others = (("region", str(merged.region)), ("region", second.region))
        asked = (
            (("region", why), ("side", why)) if merged.side or second.side else (("region", why),)
        )
        return replace(merged, others=merged.others + others), (*doubts, *asked)
    if second.subsite is None or merged.subsite is None:
        if not (merged.level and second.level):
            why = f"“{words_of_place(merged)}” and “{words_of_place(second)}” were said"
            return merged, (*doubts, ("subsite", why))
        why = f"two levels were said: {merged.level} and {second.level}"
        return merged, (*doubts, ("node_level", why))
    why = f"two parts were said: {merged.subsite} and {second.subsite}"
    others = (("subsite", str(merged.subsite)), ("subsite", str(second.subsite)))
    return replace(merged, others=merged.others + others), (*doubts, ("subsite", why))


def _regions_of(place: Place) -> set[str]:
    """The regions that may have the part which was said alone."""
    return {value for name, value in place.others if name == "region"}


def words_of_place(place: Place) -> str:
    return " ".join(spot.phrase.text for spot in place.spots if spot.phrase)


def _part_after_side(place: Place) -> bool:
    """ "Joint click on the right masseter tender on the left": the muscle may be the left one."""
    slots = [spot.slot for spot in place.spots]
    told = Slot.REGION in slots and Slot.SIDE in slots and place.spots[-1].slot is Slot.SUBSITE
    return told and slots.index(Slot.REGION) < slots.index(Slot.SIDE)


def _sided(merged: Place, first: Place, second: Place) -> Place:
    if first.side and second.side and first.side != second.side:
        why = f"two sides were said: {first.side} and {second.side}"
        if _part_after_side(first) or first.subsite != merged.subsite:
            merged = replace(merged, doubts=(*merged.doubts, ("subsite", why)))
        return replace(
            merged,
            side=first.side,
            doubts=(*merged.doubts, ("side", why)),
            others=(*merged.others, ("side", first.side), ("side", second.side)),
        )
    return replace(merged, side=first.side or second.side)
