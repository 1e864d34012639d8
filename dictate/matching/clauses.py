"""Cuts an utterance into clauses: one lesion, or one statement about regions, in each."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass, replace

from dictate.matching import grammar
from dictate.matching.negation import DESCRIBING, Sentence
from dictate.matching.places import Place
from dictate.matching.spots import Mark, Spot
from dictate.vocabulary.schema import Slot

Item = Place | Spot
STATEMENTS = frozenset({Slot.NORMAL, Slot.NOT_EXAMINED, Slot.EXAMINED})
_LESIONS = frozenset({Slot.KIND, Slot.NORMAL_VARIANT})
_QUALIFIED = frozenset({"variant", "variants", "variation", "for"})
_LEADING = frozenset({Slot.COLOUR, Slot.DISTRIBUTION})
"""Adjectives that in terse dictation stand before their noun."""


@dataclass(frozen=True, slots=True)
class Clause:
    """Items about one thing; `anchor` is what it is about, None for bare details."""

    items: tuple[Item, ...]
    anchor: Item | None

    @property
    def places(self) -> tuple[Place, ...]:
        return tuple(item for item in self.items if isinstance(item, Place))

    @property
    def spots(self) -> tuple[Spot, ...]:
        return tuple(item for item in self.items if isinstance(item, Spot))


def cut(sentence: Sentence, items: Sequence[Item]) -> tuple[Clause, ...]:
    """The clauses of a sentence whose places are gathered, in order; every item in one."""
    anchors = _anchors(sentence, items)
    if not anchors:
        return (Clause(tuple(items), None),) if items else ()
    starts = [0]
    for left, right in itertools.pairwise(anchors):
        following = next((each for each in anchors if each > right), len(items))
        starts.append(_boundary(sentence, items, starts[-1], left, right, following))
    clauses: list[Clause] = []
    for place, (start, anchor) in enumerate(zip(starts, anchors, strict=True)):
        end = starts[place + 1] if place + 1 < len(starts) else len(items)
        for clause in _tail_apart(tuple(items[start:end]), items[anchor]):
            clauses += _halves(sentence, clause)
    return tuple(clauses)


def is_lesion(item: Item) -> bool:
    """True if the item names a lesion that is said to be there."""
    if isinstance(item, Place):
        return any(slot is Slot.KIND for slot, _ in item.implied)
    return item.slot in _LESIONS and not item.negated


def _anchors(sentence: Sentence, items: Sequence[Item]) -> list[int]:
    lesions = [index for index, item in enumerate(items) if is_lesion(item)]
    lesions = _without_resembled(items, _without_echoes(items, lesions))
    stated = {Slot.NORMAL, Slot.NOT_EXAMINED} if lesions else STATEMENTS
    statements = [
        index
        for index, item in enumerate(items)
        if isinstance(item, Spot)
        and item.slot in stated
        and not item.negated
        and not _qualifies(sentence, item)
    ]
    statements = _without_repeats(items, statements)
    carried = [
        index
        for index, item in enumerate(items)
        if isinstance(item, Spot) and _copies(item) and not _noun_follows(items, index)
    ]
    return sorted(lesions + statements + carried)


def _without_repeats(items: Sequence[Item], statements: Sequence[int]) -> list[int]:
    """One statement where a second gives but the reason ("not examined, not tolerated")."""
    kept: list[int] = []
    for index in statements:
        item, before = items[index], items[kept[-1]] if kept else None
        assert isinstance(item, Spot)
        repeated = isinstance(before, Spot) and before.slot is item.slot
        apart = kept and any(isinstance(each, Place) for each in items[kept[-1] : index])
        if not repeated or apart:
            kept.append(index)
    return kept


def _qualifies(sentence: Sentence, spot: Spot) -> bool:
    """ "Variant of normal", "normal variant", "normal for the age": no region is pronounced."""
    before = sentence.words[max(0, spot.start - 2) : spot.start]
    after = sentence.words[spot.end : spot.end + 1]
    return before[-1:] == ("of",) or bool(set(after) & _QUALIFIED)


def _copies(spot: Spot) -> bool:
    """True for "another one", "same again": a lesion like the one before."""
    return any(p.slot is Slot.CARRY and p.value in ("another", "same kind") for p in spot.phrases)


def _noun_follows(items: Sequence[Item], index: int) -> bool:
    """True if a lesion is named right after ("another white plaque")."""
    for item in items[index + 1 :]:
        if is_lesion(item):
            return True
        if isinstance(item, Place) or not _before_noun(item):
            return False
    return False


def _before_noun(spot: Spot) -> bool:
    if spot.slot in DESCRIBING or spot.size is not None:
        return True
    return spot.mark is Mark.FUNCTION or spot.slot is Slot.FILLER


def _without_echoes(items: Sequence[Item], lesions: Sequence[int]) -> list[int]:
    """Leave out a place that only implies a kind which is named in so many words beside it."""
    kept = []
    for index in lesions:
        neighbours = [each for each in lesions if each in (index - 1, index + 1)]
        named = any(isinstance(items[each], Spot) for each in neighbours)
        if not (isinstance(items[index], Place) and named):
            kept.append(index)
    return kept


def _without_resembled(items: Sequence[Item], lesions: Sequence[int]) -> list[int]:
    """Leave out what a lesion is only compared with ("consistent with a torus")."""
    return [
        index
        for index in lesions
        if index == lesions[0] or not (resembled(items, index) or _is_feature(items, index))
    ]


def _is_feature(items: Sequence[Item], index: int) -> bool:
    """ "A mass with surface ulceration": what the lesion shows, not a second one."""
    for item in reversed(items[:index]):
        if isinstance(item, Place) or not _before_noun(item):
            return False
        if item.said[-1] in grammar.INDEFINITE or _counts(item):
            return False
        if item.said[0] in grammar.SHOWING:
            return True
    return False


def resembled(items: Sequence[Item], index: int) -> bool:
    """True if the item at `index` follows "consistent with" or its like."""
    for item in reversed(items[:index]):
        if isinstance(item, Spot) and item.mark is Mark.RESEMBLING:
            return True
        if isinstance(item, Place) or not _before_noun(item):
            return False
    return False


def _boundary(
    sentence: Sentence, items: Sequence[Item], start: int, left: int, right: int, following: int
) -> int:
    """Where the clause of the anchor at `right` begins."""
    gap = range(left + 1, right)
    places = [index for index in gap if isinstance(items[index], Place)]
    own = _places_kept(items, places, start, left, right, following)
    lowest = places[own - 1] + 1 if own else left + 1
    if own < len(places):
        return _over_small(sentence, items, places[own], lowest)
    return _noun_phrase_start(sentence, items, right, lowest)


def _places_kept(
    items: Sequence[Item], places: list[int], start: int, left: int, right: int, following: int
) -> int:
    """How many of the places in the gap belong to the anchor on the left."""
    if not places:
        return 0
    placed = any(isinstance(item, Place) for item in items[start : left + 1])
    placed_after = any(isinstance(item, Place) for item in items[right:following])
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
    adds = (place.subsite and not held.subsite) or (place.side and not held.side)
    clash = (place.side and held.side and place.side != held.side) or (
        place.subsite and held.subsite and place.subsite != held.subsite
    )
    named_again = any(spot.slot is Slot.REGION for spot in place.spots) and held.region is not None
    return bool(same_region and adds and not clash and not named_again)


def _last_group(items: Sequence[Item], places: list[int]) -> int:
    """How many of the last places are joined by "and" into one list."""
    count = 1
    for index in reversed(places):
        item = items[index]
        if not (isinstance(item, Place) and item.joined) or count >= len(places):
            break
        count += 1
    return count if count < len(places) else len(places) - 1


def _over_small(sentence: Sentence, items: Sequence[Item], index: int, lowest: int) -> int:
    """Step back over small words ("and on the") before the item at `index`."""
    while index > lowest:
        item = items[index - 1]
        if isinstance(item, Place) or not (
            item.mark in (Mark.FUNCTION, Mark.LANDMARK) or item.slot is Slot.FILLER
        ):
            break
        index -= 1
    return index


def _noun_phrase_start(sentence: Sentence, items: Sequence[Item], anchor: int, lowest: int) -> int:
    """Where the noun phrase of the anchor begins: at its article, else at its adjectives."""
    fallback = anchor
    index = anchor
    leading = True
    while index > lowest:
        item = items[index - 1]
        if isinstance(item, Place) or not _before_noun(item):
            break
        index -= 1
        said = sentence.words[item.start : item.end]
        if item.mark is Mark.FUNCTION and said[-1] in grammar.INDEFINITE:
            return _over_small(sentence, items, index, lowest)
        leading = leading and (item.slot in _LEADING or _counts(item))
        if leading:
            fallback = index
        if item.start in sentence.pauses and item.slot in DESCRIBING:
            return index
    return _over_small(sentence, items, fallback, lowest)


def _counts(item: Spot) -> bool:
    return item.size is not None and not item.size.led


def _tail_apart(items: tuple[Item, ...], anchor: Item) -> list[Clause]:
    """A later place of another region, said after the lesion was placed, stands for itself."""
    whole = [Clause(items, anchor)]
    if isinstance(anchor, Spot) and anchor.slot in STATEMENTS:
        return whole
    at = items.index(anchor)
    before = [p for p in items[: at + 1] if isinstance(p, Place) and p.region]
    for index in range(at + 1, len(items)):
        item = items[index]
        if not isinstance(item, Place) or item.region is None or item.joined or item.inferred:
            continue
        if is_landmark(items, index) or not any(map(_says_more, items[index + 1 :])):
            continue
        if before and all(item.region != place.region for place in before):
            return [Clause(items[:index], anchor), Clause(items[index:], None)]
        before.append(item)
    return whole


def is_distance(sentence: Sentence, items: Sequence[Item], index: int) -> bool:
    """ "Five millimetres behind the commissure": where a lesion lies, not how large it is."""
    after = items[index + 1] if index + 1 < len(items) else None
    if not isinstance(after, Spot) or after.mark is not Mark.LANDMARK:
        return False
    return after.start not in sentence.pauses


def _halves(sentence: Sentence, clause: Clause) -> list[Clause]:
    """ "Ulcer four millimetres on the left and six millimetres on the right": two findings."""
    items = clause.items
    sizes = [i for i in range(len(items)) if _is_size(items[i])]
    sizes = [i for i in sizes if not is_distance(sentence, items, i)]
    places = [i for i in range(len(items)) if isinstance(items[i], Place)]
    places = [i for i in places if not is_landmark(items, i)]
    if clause.anchor is None or len(sizes) != 2 or len(places) != 2:
        return [clause]
    second = min(sizes[1], places[1])
    if max(sizes[0], places[0]) >= second or clause.items.index(clause.anchor) >= second:
        return [clause]
    shared = tuple(
        item
        for item in clause.items[:second]
        if item is clause.anchor or (isinstance(item, Spot) and item.slot in DESCRIBING)
    )
    first, other = clause.items[places[0]], clause.items[places[1]]
    assert isinstance(first, Place)
    assert isinstance(other, Place)
    swap = {places[0]: _region_of(other, first), places[1]: _region_of(first, other)}
    filled = tuple(swap.get(index, item) for index, item in enumerate(items))
    return [
        Clause(filled[:second], clause.anchor),
        Clause((*shared, *filled[second:]), clause.anchor),
    ]


def _is_size(item: Item) -> bool:
    return isinstance(item, Spot) and item.size is not None and item.size.led


def _region_of(first: Place, other: Place) -> Place:
    if other.region is not None or not other.only_side:
        return other
    return replace(other, region=first.region, subsite=first.subsite, implied=first.implied)


def _says_more(item: Item) -> bool:
    if isinstance(item, Place):
        return False
    return item.slot in DESCRIBING or item.size is not None or item.duration is not None


def is_landmark(items: Sequence[Item], index: int) -> bool:
    """True if "behind" or its like makes the place at `index` a landmark, not a site."""
    for item in reversed(items[:index]):
        if isinstance(item, Place):
            return False
        if item.mark is Mark.LANDMARK:
            return True
        if item.mark is not Mark.FUNCTION and item.slot is not Slot.FILLER:
            return False
    return False
