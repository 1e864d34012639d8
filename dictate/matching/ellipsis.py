"""Clauses that say less than they mean: "and six on the right", a place said on its own."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

from dictate.matching import grammar
from dictate.matching.anchors import STATEMENTS
from dictate.matching.clause import Clause
from dictate.matching.items import Item, counts, is_distance, is_landmark, is_size, led_by_size
from dictate.matching.negation import DESCRIBING, Sentence
from dictate.matching.place import Place
from dictate.matching.spots import Mark, Spot
from dictate.vocabulary.schema import Slot

_THE_OTHER = frozenset({"other", "second", "another"})
_TOLD_APART = (("one",), ("two",))


def tail_apart(clause: Clause) -> list[Clause]:
    """A later place of another region, said after the lesion was placed, stands for itself."""
    items, anchor = clause.items, clause.anchor
    if anchor is None:
        return [clause]
    first = _described_first(clause)
    if isinstance(anchor, Spot) and anchor.slot in STATEMENTS:
        return [*first[:-1], *_ailing_apart(first[-1])]
    if len(first) > 1:
        return [*first[:-1], *tail_apart(first[-1])]
    at = items.index(anchor)
    before = [p for p in items[: at + 1] if isinstance(p, Place) and p.region]
    for index in range(at + 1, len(items)):
        item = items[index]
        if not isinstance(item, Place) or item.region is None or item.inferred:
            continue
        if item.joined and not _another(clause, item, items[index + 1 :]):
            continue
        if is_landmark(items, index) or not any(map(_says_more, items[index + 1 :])):
            continue
        if item.only_level and any(place.region == "neck" for place in before):
            continue
        told = [place for place in before if not place.inferred]
        elsewhere = told and all(item.region != place.region for place in before)
        if elsewhere or _on_other_side(items, index):
            index -= bool(elsewhere) and index - 1 > at and led_by_size(items, index)
            later = _later(clause, index)
            if later.anchor is None:
                unclear = clause.unclear or _told_between(items, at)
                return [replace(clause, items=items[:index], unclear=unclear), later]
            return [replace(clause, items=tuple(map(_uncounted, items[:index]))), later]
        before.append(item)
    return [clause]


def _on_other_side(items: Sequence[Item], index: int) -> bool:
    """ "Joint click on the right, masseter tender on the left": the muscle's side is its own."""
    place = items[index]
    assert isinstance(place, Place)
    held = {p.side for p in items[:index] if isinstance(p, Place)} - {None}
    after = next((p for p in items[index + 1 :] if isinstance(p, Place)), None)
    if not place.paused or not place.names_region or place.side or after is None:
        return False
    return bool(held) and after.only_side and after.side not in held


def _described_first(clause: Clause) -> list[Clause]:
    """ "Larynx midline and mobile, neck clear": the larynx is not called clear."""
    items, anchor = clause.items, clause.anchor
    assert anchor is not None
    cut = 0
    for index in range(items.index(anchor)):
        item, before = items[index], _telling_before(items, index)
        told = isinstance(before, Spot) and not before.negated and _says(before)
        if isinstance(item, Place) and item.paused and told and item.region:
            again = all(p.region == item.region for p in items[:index] if isinstance(p, Place))
            timed = isinstance(before, Spot) and before.duration is not None
            cut = cut if again and timed else index
    if not cut or not any(isinstance(item, Place) for item in items[:cut]):
        return [clause]
    return [Clause(items[:cut], None), replace(clause, items=items[cut:])]


def _telling_before(items: Sequence[Item], index: int) -> Item | None:
    """The item before, over small words."""
    for item in reversed(items[:index]):
        if isinstance(item, Place) or not (item.mark is Mark.FUNCTION or item.slot is Slot.FILLER):
            return item
    return None


def _says(spot: Spot) -> bool:
    return spot.slot in DESCRIBING or spot.slot is Slot.SYMPTOM or spot.duration is not None


def _ailing_apart(clause: Clause) -> list[Clause]:
    """ "Hard palate normal, but the throat is red": the throat is not normal.

    Nor is what is described after a region that was: "thyroid normal, neck supple".
    """
    items, anchor = clause.items, clause.anchor
    assert anchor is not None
    at = items.index(anchor)
    placed = any(isinstance(item, Place) and item.region for item in items[:at])
    for index in range(at + 1, len(items)):
        item = items[index]
        but = any(
            isinstance(each, Spot) and grammar.BUT.intersection(each.said)
            for each in items[at + 1 : index]
        )
        if not isinstance(item, Place) or not item.region:
            continue
        if (but or (placed and item.paused)) and _described(items[index + 1 :]):
            return [replace(clause, items=items[:index]), *_each_place(items[index:])]
    return [clause]


def _each_place(items: Sequence[Item]) -> list[Clause]:
    starts = [
        index
        for index, item in enumerate(items)
        if isinstance(item, Place) and (not index or (item.paused and item.region))
    ]
    return [Clause(tuple(items[a:b]), None) for a, b in pairwise([*starts, len(items)])]


def _described(items: Sequence[Item]) -> bool:
    return any(
        isinstance(item, Spot) and item.slot in DESCRIBING and not item.negated for item in items
    )


def _another(clause: Clause, place: Place, after: Sequence[Item]) -> bool:
    """ "Ulcer on the palate, and the right tonsil is red": what is red is not the ulcer."""
    anchor = clause.anchor
    many = isinstance(anchor, Spot) and anchor.phrase is not None and anchor.phrase.plural
    described = any(
        isinstance(item, Spot) and item.slot in DESCRIBING - {Slot.NOTE} for item in after
    )
    return place.paused and not many and described


def _told_between(items: Sequence[Item], anchor: int) -> bool:
    """ "Larynx, hoarse for weeks, white patch, left cheek": the patch may be at either place."""
    place = max((n for n in range(anchor) if isinstance(items[n], Place)), default=anchor)
    return any(
        isinstance(item, Spot)
        and (item.slot in (Slot.SYMPTOM, Slot.TENDER) or item.duration is not None)
        for item in items[place + 1 : anchor]
    )


def _later(clause: Clause, index: int) -> Clause:
    """The clause of a later place: of a lesion like the first, if more than one was counted."""
    anchor, items = clause.anchor, clause.items
    assert anchor is not None
    before = [word for item in items[:index] if isinstance(item, Spot) for word in item.said]
    told = bool(before and _THE_OTHER.intersection(before[-3:]))
    many = isinstance(anchor, Spot) and anchor.phrase is not None and anchor.phrase.plural
    if isinstance(anchor, Spot) and (told or (many and any(map(is_size, items[index:])))):
        return Clause((anchor, *items[index:]), anchor)
    return Clause(items[index:], None)


def levels_apart(clause: Clause) -> list[Clause]:
    """ "Level two, ten millimetres, level four, eight millimetres": each a node of its own."""
    items = clause.items
    starts = [0]
    for index, item in enumerate(items):
        if not isinstance(item, Place) or item.level is None:
            continue
        held = items[starts[-1] : index]
        other = any(
            isinstance(each, Place) and each.level not in (None, item.level) for each in held
        )
        if other and any(map(_says_more, held)) and any(map(_says_more, items[index + 1 :])):
            starts.append(index)
    return [Clause(items[a:b], None) for a, b in pairwise([*starts, len(items)])]


def halves(sentence: Sentence, clause: Clause) -> list[Clause]:
    """ "Ulcer four millimetres on the left and six millimetres on the right": two findings."""
    clause = _each_side(clause)
    items = clause.items
    sizes = [i for i in range(len(items)) if is_size(items[i])]
    sizes = [i for i in sizes if not is_distance(sentence, items, i)]
    places = [i for i in range(len(items)) if isinstance(items[i], Place)]
    places = [i for i in places if not (is_landmark(items, i) or _across(items[i]))]
    if clause.anchor is not None and len(sizes) == 2 and all(at < sizes[0] for at in places):
        return _two_sizes(clause, sizes)
    if clause.anchor is None or len(sizes) != 2 or len(places) != 2:
        return [clause]
    second = min(sizes[1], places[1])
    if max(sizes[0], places[0]) >= second or clause.items.index(clause.anchor) >= second:
        return [clause]
    second = _own_words(clause, max(sizes[0], places[0]) + 1, second)
    own = {item.slot for item in items[second:] if isinstance(item, Spot)} & {Slot.COLOUR}
    shared = tuple(
        item
        for item in clause.items[:second]
        if item is clause.anchor
        or (isinstance(item, Spot) and item.slot in DESCRIBING and item.slot not in own)
    )
    first, other = clause.items[places[0]], clause.items[places[1]]
    assert isinstance(first, Place)
    assert isinstance(other, Place)
    swap = {places[0]: _region_of(other, first), places[1]: _region_of(first, other)}
    filled = tuple(swap.get(index, _uncounted(item)) for index, item in enumerate(items))
    first_half = replace(clause, items=filled[:second])
    if isinstance(clause.anchor, Place):  # "The right submandibular node, and the left one".
        anchor = filled[places[1]]
        return [first_half, replace(clause, items=(*filled[second:],), anchor=anchor)]
    return [first_half, replace(clause, items=(*shared, *filled[second:]))]


def _own_words(clause: Clause, start: int, second: int) -> int:
    """ "A white patch on the left, ten; a red one on the right": the red is the second's."""
    between = clause.items[start:second]
    words = [item for item in between if isinstance(item, Spot)]
    article = next((at for at, item in enumerate(words) if item.said[-1:] == ("a",)), None)
    if article is None or clause.anchor in between or len(words) < len(between):
        return second
    told = any(item.said == ("one",) for item in words[article:])
    return start + article if told else second


def _two_sizes(clause: Clause, sizes: Sequence[int]) -> list[Clause]:
    """ "Two nodes, one fifteen millimetres, the other eight": two findings at one place."""
    items, (first, second) = clause.items, sizes
    between = {word for item in items[first:second] if isinstance(item, Spot) for word in item.said}
    head = {word for item in items[:first] if isinstance(item, Spot) for word in item.said}
    told = "two" in head and bool(_THE_OTHER.intersection(between))
    if not told or any(isinstance(item, Place) for item in items[first:]):
        return [clause]
    shared = tuple(map(_uncounted, items[:first]))
    cut = next(
        at for at in range(first, second) if _THE_OTHER.intersection(getattr(items[at], "said", ()))
    )
    return [
        replace(clause, items=(*shared, *items[first:cut])),
        replace(clause, items=(*shared, *items[cut:])),
    ]


def _across(item: Item) -> bool:
    """ "Crossing the midline by five millimetres": how far the one lesion goes."""
    spots = item.spots if isinstance(item, Place) and item.only_side else ()
    return any(spot.phrase is not None and spot.phrase.vague for spot in spots)


def _each_side(clause: Clause) -> Clause:
    """ "Bilateral patches, left ten and right eight millimetres": the sides are told apart."""
    places = [place for place in clause.places if not is_landmark(clause.items, _at(clause, place))]
    heads, each = places[:-2], places[-2:]
    sides = [place.side for place in each if place.only_side]
    sized = sum(is_size(item) for item in clause.items)
    if sorted(filter(None, sides)) != ["left", "right"] or sized != 2:
        return clause
    named = [place for place in heads if place.region is not None]
    both = [place for place in heads if place.side == "bilateral"]
    if len(named) != 1 or not both or clause.anchor in heads:
        return clause
    filled = {_at(clause, place): _region_of(named[0], place) for place in each}
    kept = (
        filled.get(at, item)
        for at, item in enumerate(clause.items)
        if not any(item is head for head in heads)
    )
    return replace(clause, items=tuple(kept))


def _at(clause: Clause, item: Item) -> int:
    return next(at for at, each in enumerate(clause.items) if each is item)


def _uncounted(item: Item) -> Item:
    """A number of lesions that are told apart is the count of none of them."""
    if isinstance(item, Place) or not counts(item):
        return item
    return replace(
        item, size=None, mark=Mark.FUNCTION if item.said in _TOLD_APART else Mark.UNKNOWN
    )


def _region_of(first: Place, other: Place) -> Place:
    if other.region is not None or not other.only_side:
        return other
    return replace(other, region=first.region, subsite=first.subsite, implied=first.implied)


def _says_more(item: Item) -> bool:
    if isinstance(item, Place):
        return False
    return item.slot in DESCRIBING or item.size is not None or item.duration is not None
