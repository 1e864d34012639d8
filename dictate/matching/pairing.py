"""Which place belongs to which lesion or statement, when one breath holds several."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations

from dictate.matching import grammar
from dictate.matching.items import (
    Item,
    is_landmark,
    is_lesion,
    noun_follows,
    own_region,
    states_health,
)
from dictate.matching.place import Place
from dictate.matching.spots import Mark, Spot
from dictate.vocabulary.schema import Slot


def pair(
    items: Sequence[Item], anchors: Sequence[int], pauses: frozenset[int] = frozenset()
) -> dict[int, int] | None:
    """Index of each place to the ordinal of its anchor; None if the words do not tell.

    They do where there are as many places (or groups of places that go together) as anchors:
    the first place is of the first anchor, and so on, whether it stands before or after it.
    """
    places = [
        index
        for index, item in enumerate(items)
        if isinstance(item, Place) and not is_landmark(items, index)
    ]
    for joined in (False, True):
        groups = _grouped(items, places, joined=joined)
        groups = list(_after_statement(items, anchors, pauses, groups))
        if len(groups) == len(anchors) and _in_reach(groups, anchors):
            return {index: ordinal for ordinal, group in enumerate(groups) for index in group}
    return _around_placed(items, places, anchors, pauses)


def _around_placed(
    items: Sequence[Item],
    places: Sequence[int],
    anchors: Sequence[int],
    pauses: frozenset[int],
) -> dict[int, int] | None:
    """ "Torus palatinus and bilateral mandibular tori": names that say where they are.

    Such a lesion needs no place beside it, and may only take one that goes with its own. None
    if that leaves no way, or more than one.
    """
    spare = [ordinal for ordinal, anchor in enumerate(anchors) if own_region(items[anchor])]
    found: list[dict[int, int]] = []
    for groups in (_grouped(items, places, joined=False), [[index] for index in places]):
        missing = len(anchors) - len(groups)
        if not 0 <= missing <= len(spare):
            continue
        for left_out in combinations(spare, missing):
            kept = [ordinal for ordinal in range(len(anchors)) if ordinal not in left_out]
            if _reaches(items, groups, anchors, kept):
                way = {index: kept[at] for at, group in enumerate(groups) for index in group}
                for ordinal in left_out:
                    nearer = _of_spare(items, groups, anchors, ordinal, pauses)
                    if nearer and not _and_after(items, nearer, anchors[ordinal + 1]):
                        return None
                    way |= dict.fromkeys(nearer, ordinal)
                found += [way] if way not in found else []
    return found[0] if len(found) == 1 else None


def _of_spare(
    items: Sequence[Item],
    groups: Sequence[Sequence[int]],
    anchors: Sequence[int],
    ordinal: int,
    pauses: frozenset[int],
) -> Sequence[int]:
    """ "Linea alba, left cheek, and an ulcer": a place right after a name that it goes with.

    A pause after the place, before the next lesion, says that it may be of the first.
    """
    left = anchors[ordinal]
    right = anchors[ordinal + 1] if ordinal + 1 < len(anchors) else -1
    group = next((each for each in groups if left < each[0] and each[-1] < right), [])
    if not group:
        return ()
    led = items[left + 1 : group[0]]
    place, end = items[group[0]], items[group[-1]].end
    assert isinstance(place, Place)
    own = place.region in (None, own_region(items[left])) and not place.joined
    small = all(isinstance(each, Spot) and _leads(each) for each in led)
    apart = any(at in pauses for at in range(end, items[right].start + 1))
    return group if own and small and apart else ()


def _and_after(items: Sequence[Item], group: Sequence[int], right: int) -> bool:
    """ "And an ulcer": with it begins what is said of the next lesion."""
    between = items[group[-1] + 1 : right]
    return any(isinstance(each, Spot) and "and" in each.said for each in between)


def _leads(item: Spot) -> bool:
    """True for small words before a place, but for those that begin something new."""
    small = item.mark is Mark.FUNCTION or item.slot is Slot.FILLER
    return small and not grammar.AND.intersection(item.said)


def _reaches(
    items: Sequence[Item],
    groups: Sequence[Sequence[int]],
    anchors: Sequence[int],
    kept: Sequence[int],
) -> bool:
    """True if each group of places can be that of the anchor it would go to."""
    for group, ordinal in zip(groups, kept, strict=True):
        before = anchors[ordinal - 1] if ordinal else -1
        after = anchors[ordinal + 1] if ordinal + 1 < len(anchors) else len(items)
        if not (before < group[0] and group[-1] < after):
            return False
        own = own_region(items[anchors[ordinal]])
        spans = group[0] < anchors[ordinal] < group[-1]
        if spans and not _touches(group[0], anchors[ordinal]):
            return False
        for index in group:
            place = items[index]
            assert isinstance(place, Place)
            if own and place.region not in (None, own):
                return False
            if own and place.only_side and not _touches(index, anchors[ordinal]):
                return False
            if place.only_side and ordinal and index == anchors[ordinal - 1] + 1:
                return False  # "Clicking left side, deviation": of the clicking.
    return True


def _touches(one: int, other: int) -> bool:
    return abs(one - other) == 1


def _grouped(items: Sequence[Item], places: Sequence[int], *, joined: bool) -> list[list[int]]:
    """Places that go together: parts and sides of one, and, if `joined`, lists with "and"."""
    groups: list[list[int]] = []
    for index in places:
        place = items[index]
        assert isinstance(place, Place)
        held = [items[each] for each in groups[-1]] if groups else []
        one = held and all(isinstance(h, Place) and completes(h, place) for h in held)
        one = one and not _begins_next(items, index)
        one = one and not _of_health(items, groups[-1][-1], index)
        if one or (groups and joined and place.joined and not place.paused):
            groups[-1].append(index)
        else:
            groups.append([index])
    return groups


def _of_health(items: Sequence[Item], held: int, index: int) -> bool:
    """ "No nodes on the left, tongue, left border, ulcer": that side is of the nodes."""
    before, side, place = items[held - 1] if held else None, items[held], items[index]
    assert isinstance(side, Place)
    assert isinstance(place, Place)
    health = states_health(before) if before is not None else False
    own = health and own_region(before) is not None
    return bool(own and side.only_side and not side.paused and place.paused and place.region)


def _begins_next(items: Sequence[Item], index: int) -> bool:
    """ "Swelling of the soft palate, three centimetres, uvula deviated": the next one's place."""
    place = items[index]
    assert isinstance(place, Place)
    if not place.paused or place.subsite is None or not any(map(is_lesion, items[:index])):
        return False
    return noun_follows(items, index)


def _after_statement(
    items: Sequence[Item],
    anchors: Sequence[int],
    pauses: frozenset[int],
    groups: Sequence[list[int]],
) -> Iterator[list[int]]:
    """ "Neck clear; on the left a level three node": after the pause begins the lesion's place."""
    stated = [at for at in anchors[:-1] if states_health(items[at])]
    waiting: list[int] = []
    for group in groups:
        cut = next((n for n in range(1, len(group)) if _parted(items, stated, pauses, group, n)), 0)
        if cut:
            yield waiting + group[:cut]
            waiting = group[cut:]
            continue
        yield waiting + group
        waiting = []
    if waiting:
        yield waiting


def _parted(
    items: Sequence[Item],
    stated: Sequence[int],
    pauses: frozenset[int],
    group: Sequence[int],
    at: int,
) -> bool:
    between = [each for each in stated if group[at - 1] < each < group[at]]
    start = items[group[at]].start
    return any(pauses.intersection(range(items[b].end, start + 1)) for b in between)


def _in_reach(groups: Sequence[Sequence[int]], anchors: Sequence[int]) -> bool:
    """True if no other anchor stands between a place and its own."""
    for ordinal, group in enumerate(groups):
        before = anchors[ordinal - 1] if ordinal else -1
        after = anchors[ordinal + 1] if ordinal + 1 < len(anchors) else max(group[-1], before) + 1
        if not before < group[0] or not group[-1] < after:
            return False
    return True


def kept_by_left(
    items: Sequence[Item],
    places: list[int],
    start: int,
    left: int,
    right: int,
    following: int,
    pauses: frozenset[int] = frozenset(),
) -> int:
    """How many of the places in the gap belong to the anchor on the left."""
    if not places:
        return 0
    placed = any(isinstance(item, Place) for item in items[start : left + 1])
    placed_after = any(isinstance(item, Place) for item in items[right:following])
    first = items[places[0]]
    anchor = items[left]
    stated = isinstance(anchor, Spot) and anchor.slot is Slot.NORMAL
    apart = isinstance(first, Place) and (
        not first.only_side or any(at in pauses for at in range(anchor.end, first.start + 1))
    )
    if placed and stated and not placed_after and apart:
        return 0  # "Occipital nodes clear, left level two node": the second is the lesion's.
    if placed:
        return _completing(items, places, [*range(start, left + 1)])
    if placed_after:
        return len(places)
    return 1 if len(places) == 1 else len(places) - _last_group(items, places)


def _completing(items: Sequence[Item], places: list[int], before: Sequence[int]) -> int:
    """How many of the places only say more of where the anchor before them already is."""
    held = [item for index in before if isinstance(item := items[index], Place)]
    count = 0
    for index in places:
        place = items[index]
        assert isinstance(place, Place)
        if not all(completes(each, place) for each in held):
            break
        held.append(place)
        count += 1
    return count


def completes(held: Place, place: Place) -> bool:
    """True if the place adds a part or a side to the one held, and contradicts nothing."""
    same_region = place.region in (None, held.region) or held.region is None
    levelled = place.only_level and not held.level and held.region in ("neck", "lymph nodes")
    same_region = same_region or levelled
    adds = (place.subsite and not held.subsite) or (place.side and not held.side) or levelled
    clash = (place.side and held.side and place.side != held.side) or (
        place.subsite and held.subsite and place.subsite != held.subsite
    )
    if held.level and held.region == place.region and _only_counts(place):
        return True  # "Right level two, three nodes".
    told = held.side is not None or held.subsite is not None
    named_again = held.region is not None and (
        any(spot.slot is Slot.REGION for spot in place.spots) or (told and place.names_region)
    )
    return bool(same_region and adds and not clash and not named_again)


def _only_counts(place: Place) -> bool:
    lesion = any(slot is Slot.KIND for slot, _ in place.implied)
    return lesion and not (place.side or place.subsite or place.level)


def _last_group(items: Sequence[Item], places: list[int]) -> int:
    """How many of the last places are joined by "and" into one list."""
    count = 1
    for index in reversed(places):
        item = items[index]
        if not (isinstance(item, Place) and item.joined) or count >= len(places):
            break
        count += 1
    return count if count < len(places) else len(places) - 1
