"""What the clauses of a sentence are about: lesions, and statements about regions."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import zip_longest

from dictate.matching import grammar
from dictate.matching.items import (
    Item,
    before_noun,
    counts,
    is_denied,
    is_lesion,
    noun_follows,
    own_region,
)
from dictate.matching.naming import PLAIN, plain_follows, without_second_names
from dictate.matching.negation import Sentence
from dictate.matching.place import Place
from dictate.matching.spots import Mark, Spot
from dictate.matching.subjects import ANNOUNCING, tells_where, without_subjects
from dictate.matching.unseen import NO_REASON
from dictate.vocabulary.schema import Slot

STATEMENTS = frozenset({Slot.NORMAL, Slot.NOT_EXAMINED, Slot.EXAMINED})
_AILING = frozenset({Slot.COLOUR, Slot.SURFACE, Slot.BORDER, Slot.SYMPTOM})
GENERIC_OF = ANNOUNCING | {"patch", "spot"}
"""Kinds that a lesion is said to be one of ("a patch of erythema")."""
_SO = frozenset({"so", "just", "called"})
_QUALIFIED = frozenset({"variant", "variants", "variation", "for"})


def find_anchors(sentence: Sentence, items: Sequence[Item]) -> list[int]:
    """Indices of the items that each begin a clause of their own, in order."""
    lesions = [index for index, item in enumerate(items) if is_lesion(item)]
    lesions = _without_resembled(sentence, items, _without_echoes(items, lesions))
    lesions = without_subjects(sentence, items, lesions)
    lesions = _without_again(items, _without_unplaced(items, lesions))
    lesions = _without_generic(sentence, items, lesions)
    lesions = without_second_names(sentence, items, lesions)
    lesions = [index for index in lesions if not _said_normal(items, index)]
    stated = {Slot.NORMAL, Slot.NOT_EXAMINED} if lesions else STATEMENTS
    statements = [
        index
        for index, item in enumerate(items)
        if isinstance(item, Spot)
        and item.slot in stated
        and not item.negated
        and not _qualifies(sentence, item)
        and not (item.slot is Slot.EXAMINED and _ails(items))
    ]
    statements = _without_repeats(items, statements)
    carried = [
        index
        for index, item in enumerate(items)
        if isinstance(item, Spot)
        and _copies(item)
        and not (noun_follows(items, index) or plain_follows(items, index))
    ]
    return sorted(lesions + statements + carried)


def _said_normal(items: Sequence[Item], index: int) -> bool:
    """ "Incisive papilla normal", "no submandibular nodes": what is in health is no finding."""
    item = items[index]
    if isinstance(item, Place) and is_denied(items, index):
        return True
    if isinstance(item, Spot) and item.slot is not Slot.NORMAL_VARIANT:
        return False
    for after in items[index + 1 :]:
        if isinstance(after, Spot) and grammar.REST.intersection(after.said):
            return False  # "Varices, otherwise normal": it is there.
        if isinstance(after, Spot) and after.slot is Slot.NORMAL and not after.negated:
            return True
        if isinstance(after, Place) or not (
            after.mark is Mark.FUNCTION or after.slot is Slot.FILLER
        ):
            return False
    return False


def _ails(items: Sequence[Item]) -> bool:
    """ "Brown discolouring is seen on the gum": more than that it was looked at."""
    return any(
        isinstance(item, Spot)
        and not item.negated
        and item.phrase is not None
        and not item.phrase.negated
        and item.slot in _AILING
        for item in items
    )


def _without_repeats(items: Sequence[Item], statements: Sequence[int]) -> list[int]:
    """One statement where a second gives but the reason ("not examined, not tolerated")."""
    kept: list[int] = []
    for index in statements:
        item, before = items[index], items[kept[-1]] if kept else None
        assert isinstance(item, Spot)
        repeated = isinstance(before, Spot) and before.slot is item.slot
        apart = kept and any(isinstance(each, Place) for each in items[kept[-1] : index])
        apart = apart and not _gives_reason(items, statements, kept, index)
        own = own_region(item)
        apart = apart or (own is not None and own != own_region(before))
        if not repeated or apart:
            kept.append(index)
    return kept


def _gives_reason(
    items: Sequence[Item], statements: Sequence[int], kept: Sequence[int], index: int
) -> bool:
    """ "Could not view the throat, gagging": one statement, its place, and why."""
    first, second = items[kept[0]], items[index]
    assert isinstance(first, Spot)
    assert isinstance(second, Spot)
    if len(statements) != 2 or second.slot is not Slot.NOT_EXAMINED:
        return False
    led = not any(isinstance(item, Place) for item in items[: kept[0]])
    ends = not any(isinstance(item, Place) for item in items[index:])
    return led and ends and bool(first.phrase and first.phrase.value == NO_REASON)


def _qualifies(sentence: Sentence, spot: Spot) -> bool:
    """ "Variant of normal", "normal variant", "normal for the age": no region is pronounced."""
    before = sentence.words[max(0, spot.start - 2) : spot.start]
    after = sentence.words[spot.end : spot.end + 1]
    if before[-1:] == ("of",) or set(after) & _QUALIFIED:
        return True
    return spot.said == ("clear",) and _noun_at(sentence, spot.end)


def _noun_at(sentence: Sentence, index: int) -> bool:
    """ "A clear bump": what it looks like. Without any pause it may be of what stands before."""
    if not sentence.pauses or index in sentence.pauses:
        return False
    return any(spot.start == index and spot.slot is Slot.KIND for spot in sentence.spots)


def _copies(spot: Spot) -> bool:
    """True for "another one", "same again": a lesion like the one before."""
    return any(p.slot is Slot.CARRY and p.value in ("another", "same kind") for p in spot.phrases)


def _without_echoes(items: Sequence[Item], lesions: Sequence[int]) -> list[int]:
    """Leave out a place that only implies a kind which is named in so many words beside it."""
    kept = []
    for index in lesions:
        named = (
            isinstance(items[each], Spot) and _only_small(items, each, index)
            for each in lesions
            if each != index
        )
        later = (each for each in lesions if each > index)
        again = any(_nodes_again(items, index, each) for each in later)
        if not (isinstance(items[index], Place) and (any(named) or again)):
            kept.append(index)
    return kept


def _nodes_again(items: Sequence[Item], index: int, other: int) -> bool:
    """ "Posterior cervical chain, both sides, scattered nodes": the chain, then what is in it."""
    chain, nodes = items[index], items[other]
    if not (isinstance(chain, Place) and isinstance(nodes, Place)) or chain.region != nodes.region:
        return False
    named = chain.subsite is not None and any(spot.said[-1] == "chain" for spot in chain.spots)
    bare = not (nodes.subsite or nodes.side or nodes.level)
    between = items[index + 1 : other]
    return (
        named
        and bare
        and all(
            item.only_side if isinstance(item, Place) else before_noun(item) for item in between
        )
    )


def _without_generic(
    sentence: Sentence, items: Sequence[Item], lesions: Sequence[int]
) -> list[int]:
    """ "An area of erythema", "lesion: white patch": the second word names the lesion."""
    return [
        index
        for index, following in zip_longest(lesions, lesions[1:])
        if following is None or not _leads_to(sentence, items, index, following)
    ]


def _leads_to(sentence: Sentence, items: Sequence[Item], index: int, following: int) -> bool:
    first, second = items[index], items[following]
    if isinstance(first, Place) or isinstance(second, Place) or first.phrase is None:
        return False
    between = sentence.words[first.end : second.start]
    if between[:1] == ("of",):
        return first.phrase.value in GENERIC_OF and _only_small(items, index, following)
    apart = any(word in grammar.AND | grammar.OR for word in between) or first.phrase.plural
    if first.said == ("swollen",) and first.end == second.start:
        return True
    if _renamed(first, second) and not (apart and grammar.AND.intersection(between)):
        return all(word in grammar.FUNCTION | _SO for word in between)
    named = str(first.phrase.value) in ANNOUNCING and first.slot is Slot.KIND
    return named and not apart and _only_small(items, index, following)


def _renamed(first: Spot, second: Spot) -> bool:
    """ "Those bony bumps, mandibular tori": a plain word, then the name of what it is."""
    plain = first.phrase is not None and first.phrase.value in PLAIN
    return plain and first.slot is Slot.KIND and second.slot is Slot.NORMAL_VARIANT


def _without_unplaced(items: Sequence[Item], lesions: Sequence[int]) -> list[int]:
    """ "A popping sound. Clicking, right jaw joint": what has no place is named again with it."""
    if len(lesions) != 2:
        return list(lesions)
    one, other = items[lesions[0]], items[lesions[1]]
    if isinstance(one, Place) or isinstance(other, Place) or one.phrase is None:
        return list(lesions)
    same = other.phrase is not None and other.phrase.value == one.phrase.value
    before = items[: lesions[1]]
    placed = any(isinstance(item, Place) or _of_its_own(item) for item in before)
    joined = any(isinstance(item, Spot) and "and" in item.said for item in before)
    return [lesions[1]] if same and not (placed or joined) else list(lesions)


def _without_again(items: Sequence[Item], lesions: Sequence[int]) -> list[int]:
    """ "White striae on the cheek, a reticular pattern": the same lesion named twice."""
    kept: list[int] = []
    for at, index in enumerate(lesions):
        end = lesions[at + 1] if at + 1 < len(lesions) else len(items)
        if not (kept and _same_again(items, kept[-1], index, end)):
            kept.append(index)
    return kept


def _same_again(items: Sequence[Item], before: int, index: int, end: int) -> bool:
    """True if the lesion bears the name of the one before, and no place or figure of its own."""
    one, other = items[before], items[index]
    if isinstance(one, Place) or isinstance(other, Place) or one.phrase is None:
        return False
    if other.phrase is None or other.phrase.value != one.phrase.value:
        return False
    own = [*items[before + 1 : index], *items[index + 1 : end]]
    placed = [item for item in items[:index] if isinstance(item, Place)]
    known = 0 if one.slot is Slot.NORMAL_VARIANT and own_region(one) is not None else 1
    so = any(isinstance(item, Spot) and "so" in item.said for item in items[before:index])
    sides = {place.side for place in placed}
    beyond = known and any(
        isinstance(item, Place) and not (so and item.only_side and item.side in sides)
        for item in items[index:end]
    )
    if len(placed) < known or not _one_place(placed) or beyond:
        return False  # "Macule on the left tonsil, on the left tonsil a macule": two.
    if any(isinstance(item, Spot) and "and" in item.said for item in items[before:index]):
        return False
    if so and not any(isinstance(item, Spot) and _of_its_own(item) for item in items[:index]):
        return True  # "Gum boil of the buccal gingiva, so an abscess, five millimetres".
    return not any(isinstance(item, Spot) and _of_its_own(item) for item in own)


def _one_place(places: Sequence[Place]) -> bool:
    """True for a region and a part of it ("on the gum, lower front")."""
    sides = {place.side for place in places if place.only_side}
    others = {place.side for place in places if not place.only_side} - {None}
    if len(sides) == 1 and others <= sides:
        places = [place for place in places if not place.only_side]
    named = [place for place in places if place.names_region]
    parts = [place for place in places if place.inferred and place.region and not place.side]
    parts += [place for place in places if place.only_side and len(places) == 2]
    same = len({place.region for place in places} - {None}) == 1
    return len(places) <= 1 or (len(named) == 1 and same and len(named) + len(parts) == len(places))


def _of_its_own(item: Spot) -> bool:
    return item.size is not None or item.slot is Slot.NORMAL or _copies(item)


def _only_small(items: Sequence[Item], one: int, other: int) -> bool:
    """True if nothing but small words and adjectives stands between two items."""
    between = items[min(one, other) + 1 : max(one, other)]
    return all(isinstance(item, Spot) and before_noun(item) for item in between)


def _without_resembled(
    sentence: Sentence, items: Sequence[Item], lesions: Sequence[int]
) -> list[int]:
    """Leave out what a lesion is only compared with ("consistent with a torus")."""
    return [
        index
        for index in lesions
        if (index == lesions[0] or not (resembled(items, index) or _is_feature(items, index)))
        and not (len(lesions) > 1 and tells_where(sentence, items, index))
    ]


def _is_feature(items: Sequence[Item], index: int) -> bool:
    """ "A mass with surface ulceration": what the lesion shows, not a second one."""
    for item in reversed(items[:index]):
        if isinstance(item, Place) or not before_noun(item):
            return False
        if item.said[-1] in grammar.INDEFINITE or counts(item):
            return False
        if item.said[0] in grammar.SHOWING:
            return True
    return False


def resembled(items: Sequence[Item], index: int) -> bool:
    """True if the item at `index` follows "consistent with" or its like."""
    for item in reversed(items[:index]):
        if isinstance(item, Spot) and item.mark is Mark.RESEMBLING:
            return True
        if isinstance(item, Place) or not before_noun(item):
            return False
    return False
