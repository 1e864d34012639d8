"""Which place a clause is about: several places merged, listed, or at odds."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from dictate.matching.clause import Clause
from dictate.matching.gazetteer import Gazetteer
from dictate.matching.items import Item, is_landmark, own_region
from dictate.matching.merging import NECK, merge, words_of_place
from dictate.matching.negation import DESCRIBING
from dictate.matching.place import Place
from dictate.matching.spots import Mark, Spot
from dictate.matching.wholes import one_whole, without_both_halves
from dictate.vocabulary.schema import Slot

_MOSTLY = frozenset(
    {"more", "most", "mostly", "mainly", "chiefly", "worse", "worst", "especially"}
    | {"particularly", "predominantly", "primarily", "principally"}
)
"""Words that tell where a lesion shows most."""
_AT_THE_LEVEL = ("at", "the", "level", "of")


def sites(clause: Clause, gazetteer: Gazetteer) -> tuple[tuple[Place, ...], tuple[Place, ...]]:
    """The clause's places, one for each finding or region, and those that are landmarks."""
    places, landmarks = _apart(clause)
    places = without_both_halves(places, gazetteer)
    places, beside = _of_lesion(places, own_region(clause.anchor))
    landmarks += beside
    found: list[Place] = []
    for place in places:
        if not found:
            found.append(place)
        elif _spans(clause.items, places[0]):
            found[-1] = merge(found[-1], place, gazetteer)
        elif place.joined:
            found.append(_listed(found[-1], place))
        else:
            merged = _more_there(clause, place, merge(found[-1], place, gazetteer))
            found[-1] = _said_later(clause, found[-1], place, merged)
    return one_whole(clause, found, gazetteer), tuple(landmarks)


def _of_lesion(places: list[Place], own: str | None) -> tuple[list[Place], list[Place]]:
    """ "A node at the angle of the jaw, jugulodigastric": the jaw only tells where the node is."""
    placed = [p for p in places if p.region == own and (p.subsite or p.names_region)]
    elsewhere = [p for p in places if p.region not in (None, own) and p.side is None]
    if own is None or not placed or {p.region for p in elsewhere} & {NECK}:
        return places, []
    return [place for place in places if place not in elsewhere], elsewhere


def _said_later(clause: Clause, first: Place, place: Place, merged: Place) -> Place:
    """ "Right cheek, plaque, ten millimetres, parotid duct, red": of the plaque, or beside it?"""
    between = [i for i in clause.items if first.end <= i.start < place.start]
    told = any(
        isinstance(i, Spot) and (i.size is not None or i.slot in DESCRIBING) for i in between
    )
    if not told or not place.paused or not place.names_region or place.subsite is None:
        return merged
    why = f"“{words_of_place(place)}” was said later: is it there?"
    return replace(merged, doubts=(*merged.doubts, ("subsite", why)))


def _more_there(clause: Clause, place: Place, merged: Place) -> Place:
    """ "On both lips, but more on the lower": where most of it is, or all of it?"""
    before = [item for item in clause.items if item.end <= place.start]
    led = before[-1] if before else None
    while isinstance(led, Spot) and _small(led) and not _MOSTLY.intersection(led.said):
        before.pop()
        led = before[-1] if before else None
    if not isinstance(led, Spot) or not _MOSTLY.intersection(led.said):
        return merged
    why = f"“{' '.join(led.said)}” was said before “{words_of_place(place)}”: is all of it there?"
    told = (("side", place.side), ("subsite", place.subsite))
    doubts = tuple((name, why) for name, value in told if value is not None)
    return replace(merged, doubts=(*merged.doubts, *doubts))


def _spans(items: Sequence[Item], first: Place) -> bool:
    """ "Between the lip and the gum", "from the lip to the cheek": one place over two."""
    at = next(index for index, item in enumerate(items) if item.start == first.start)
    for item in reversed(items[:at]):
        if isinstance(item, Place) or not (_small(item) or item.mark is Mark.LANDMARK):
            return False
        if "between" in item.said or "from" in item.said:
            return True
    return False


def listed(clause: Clause, gazetteer: Gazetteer) -> tuple[Place, ...]:
    """The places of a statement about regions: each another one ("lips, gums normal")."""
    places, _ = _apart(clause)
    found: list[Place] = []
    for place in places:
        if found and not place.joined and _same(found[-1], place):
            found[-1] = merge(found[-1], place, gazetteer)
        elif found and (place.joined or place.only_side):
            found.append(_listed(found[-1], place))
        else:
            found.append(place)
    return tuple(each for place in found for each in _all_meant(place))


def _all_meant(place: Place) -> list[Place]:
    """ "Salivary glands normal": a loose name for several regions is of each of them."""
    names = [
        str(phrase.value)
        for spot in place.spots
        for phrase in spot.phrases
        if phrase.slot is Slot.REGION and phrase.vague
    ]
    if len(names) < 2 or place.region not in names or place.subsite is not None:
        return [place]
    settled = tuple(each for each in place.doubts if each[0] != "region")
    return [replace(place, region=name, doubts=settled) for name in names]


def shared(clauses: Sequence[Clause]) -> tuple[Clause, ...]:
    """ "A plaque and an ulcer on the tongue": the place said once goes to both, and is asked."""
    made = list(clauses)
    for index in reversed(range(len(made) - 1)):
        clause, following = made[index], made[index + 1]
        if clause.anchor is None or following.anchor is None or clause.places:
            continue
        after = [i for i in clause.items if i.start >= clause.anchor.end]
        places = [p for p in following.places if p.start >= following.anchor.end]
        if not places or places != list(following.places) or not all(map(_small, after)):
            continue
        if own_region(clause.anchor) is not None:
            continue
        why = "the place was said once for two findings"
        doubts = tuple((name, why) for name in ("region", "side") if getattr(places[0], name))
        place = replace(places[0], doubts=places[0].doubts + doubts)
        made[index] = replace(clause, items=(*clause.items, place))
    return tuple(made)


def _small(item: Item) -> bool:
    if isinstance(item, Place):
        return False
    return item.mark is Mark.FUNCTION or item.slot is Slot.FILLER


def _listed(before: Place, place: Place) -> Place:
    """ "left buccal mucosa and right": the region is said once for both."""
    if place.only_level and before.level and place.spots[0].said[:1] != ("level",):
        return replace(place, side=place.side or before.side)
    if place.region or not place.only_side:
        return place
    return replace(place, region=before.region, subsite=before.subsite, implied=before.implied)


def _same(first: Place, second: Place) -> bool:
    if second.only_side:
        return first.side is None or first.side == second.side
    return first.region is None or second.region is None or first.region == second.region


def _apart(clause: Clause) -> tuple[list[Place], list[Place]]:
    """Sites, and places that only say where a site lies or what a lesion's part is like."""
    places: list[Place] = []
    landmarks: list[Place] = []
    for index, item in enumerate(clause.items):
        if isinstance(item, Place):
            aside = _landmark(clause.items, index) or _is_part_of_lesion(clause.items, index)
            if not aside:
                item = _unsure(clause.items, index, item)
            (landmarks if aside else places).append(item)
    if not places:
        own = own_region(clause.anchor)
        return [_only_side(_doubted(place), own) for place in landmarks], []
    return places, landmarks


def _doubted(place: Place) -> Place:
    why = "it was said as a landmark, and no other place was said"
    names = ("region", "side") if place.side is not None else ("region",)
    return replace(place, doubts=(*place.doubts, *((name, why) for name in names)))


def _only_side(place: Place, own: str | None) -> Place:
    """ "Below the left angle of the jaw, a node": its side, but not its region."""
    if own is None or place.region in (None, own):
        return place
    doubts = tuple(each for each in place.doubts if each[0] == "side")
    return replace(place, region=None, subsite=None, doubts=doubts)


def _landmark(items: Sequence[Item], index: int) -> bool:
    """True for a landmark; "from the lip to the cheek" names two ends, and no landmark."""
    place = items[index]
    assert isinstance(place, Place)
    far = any(isinstance(item, Place) for item in items[index + 1 :])
    if not is_landmark(items, index) or _at_its_level(items, index):
        return False
    return not (far and _spans(items, place) and _to(items, index))


def _at_its_level(items: Sequence[Item], index: int) -> bool:
    """ "Left cheek, at the level of the bite": a part of the place that was named."""
    place = items[index]
    assert isinstance(place, Place)
    led = any(
        isinstance(i, Spot) and i.said == _AT_THE_LEVEL for i in items[max(0, index - 2) : index]
    )
    others = {i.region for i in items if isinstance(i, Place) and i is not place and i.names_region}
    return led and place.subsite is not None and others == {place.region}


def _to(items: Sequence[Item], index: int) -> bool:
    after = items[index + 1] if index + 1 < len(items) else None
    return isinstance(after, Spot) and after.said[:1] == ("to",)


def _unsure(items: Sequence[Item], index: int, place: Place) -> Place:
    """ "I think it is the left parotid": what is said of where is asked about."""
    for item in reversed(items[:index]):
        if isinstance(item, Place) or not _small_or_it(item):
            return place
        if item.mark is Mark.NOT_SURE:
            why = f"“{' '.join(item.said)}” was said of the place"
            held = (("region", place.region or place.subsite), ("side", place.side))
            doubts = tuple((name, why) for name, value in held if value is not None)
            return replace(place, doubts=place.doubts + doubts)
    return place


def _small_or_it(item: Spot) -> bool:
    return item.mark in (Mark.FUNCTION, Mark.NOT_SURE) or item.slot in (Slot.FILLER, Slot.CARRY)


def _is_part_of_lesion(items: Sequence[Item], index: int) -> bool:
    """ "with a yellow base": the base of the lesion, not of the tongue."""
    place = items[index]
    assert isinstance(place, Place)
    before = items[index - 1] if index else None
    if not place.inferred or place.paused or not isinstance(before, Spot):
        return False
    return before.slot in DESCRIBING and before.end == place.start
