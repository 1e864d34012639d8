"""Names that are no lesion of their own: what is named again, and what only tells where."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import zip_longest

from dictate.matching import grammar
from dictate.matching.clause import Clause
from dictate.matching.items import Item, counts, is_lesion
from dictate.matching.negation import DESCRIBING, Sentence
from dictate.matching.place import Place
from dictate.matching.spots import Mark, Spot
from dictate.vocabulary.schema import Phrase, Slot

_AT = frozenset({"at", "on", "over", "by", "of"})
_DEFINITE = frozenset({"the", "this", "these", "those"})
_COPULA = frozenset({"is", "are"})
ANNOUNCING = frozenset({"lesion", "area"})
"""Kinds that say nothing of a lesion but that it is there."""
_PREDICATES = frozenset({"swollen", "enlarged"})
"""Words for a lesion that are said of a thing, and name none."""
_JUST = frozenset({"just", "only", "really", "simply", "clearly"})


def without_subjects(
    sentence: Sentence, items: Sequence[Item], lesions: Sequence[int]
) -> list[int]:
    """ "The bony lumps on the jaw are just tori": the second word names the first."""
    return [
        index
        for index, following in zip_longest(lesions, lesions[1:])
        if following is None or not _is_named(sentence, items, index, following)
    ]


def _is_named(sentence: Sentence, items: Sequence[Item], index: int, following: int) -> bool:
    first, second = items[index], items[following]
    if isinstance(first, Place) or isinstance(second, Place):
        return False
    led = sentence.words[max(0, first.start - 3) : first.start]
    if not _DEFINITE.intersection(led):
        return False
    at = second.start
    while at > first.end and sentence.words[at - 1] in _COPULA | grammar.INDEFINITE | _JUST:
        at -= 1
        if at in sentence.pauses:
            return False
    words = sentence.words[at : second.start]
    return bool(_COPULA.intersection(words)) and sentence.words[at - 1] not in ("there", "it")


def without_heading(sentence: Sentence, items: Sequence[Item]) -> tuple[Item, ...]:
    """ "Two lesions on the tongue: one ..., the other ...": each of the two is told after it."""
    lesions = [index for index, item in enumerate(items) if is_lesion(item)]
    items = _each_told(sentence, items, lesions)
    first = items[lesions[0]] if len(lesions) > 1 else None
    if not isinstance(first, Spot) or first.phrase is None or not first.phrase.plural:
        return tuple(items)
    number = items[lesions[0] - 1] if lesions[0] else None
    told = sentence.words[first.end : items[lesions[1]].start]
    if isinstance(number, Place) or number is None or number.size is None or "one" not in told:
        return tuple(items)
    as_many = counts(number) and number.size.mm == (len(lesions) - 1,)
    if first.phrase.value not in ANNOUNCING or not as_many:
        return tuple(items)
    return tuple(
        replace(item, phrases=(), size=None, mark=Mark.FUNCTION)
        if item is first or item is number
        else item
        for item in items
    )


def announces(clause: Clause, to_come: Sequence[Clause]) -> bool:
    """True for "three lesions on the tongue", where three are then told one by one."""
    anchor = clause.anchor
    if not isinstance(anchor, Spot) or anchor.phrase is None or not anchor.phrase.plural:
        return False
    if anchor.slot is not Slot.KIND or anchor.phrase.value not in ANNOUNCING or not to_come:
        return False
    numbers = [spot.size for spot in clause.spots if counts(spot)]
    told = any(s.slot in DESCRIBING - {Slot.NOTE} or (s.size and s.size.led) for s in clause.spots)
    regions = {place.region for place in clause.places} - {None}
    others = {place.region for each in to_come for place in each.places} - {None}
    alike = not told and others <= regions
    return alike and any(n is not None and n.mm == (len(to_come),) for n in numbers)


def _each_told(
    sentence: Sentence, items: Sequence[Item], lesions: Sequence[int]
) -> tuple[Item, ...]:
    """ "Two ulcers. One on the tip, and one on the left": each of them is one."""
    at = lesions[0] if lesions else 0
    first, number = (items[at], items[at - 1]) if at else (None, None)
    if not isinstance(first, Spot) or not isinstance(number, Spot) or first.phrase is None:
        return tuple(items)
    one = items[at + 1] if at + 1 < len(items) else None
    told = isinstance(one, Spot) and one.said[:1] == ("one",) and one.start in sentence.pauses
    another = any(
        isinstance(item, Spot) and any(p.value == "another" for p in item.phrases)
        for item in items[at + 1 :]
    )
    if not (first.phrase.plural and counts(number) and told and another):
        return tuple(items)
    return tuple(
        replace(item, size=None, mark=Mark.FUNCTION)
        if isinstance(item, Spot) and (item is number or item is one)
        else item
        for item in items
    )


def tells_where(sentence: Sentence, items: Sequence[Item], index: int) -> bool:
    """ "An ulcer at the incisive papilla": where it is, not a second finding."""
    here = items[index]
    if isinstance(here, Place) or here.slot is not Slot.NORMAL_VARIANT:
        return False
    led = _led_by(items, index, sentence.pauses)
    words = [word for item in led for word in item.said]
    near = any(item.mark is Mark.LANDMARK for item in led)
    at_it = bool(_AT.intersection(words)) and "the" in words
    return near or at_it or _is_ill(sentence, items, index)


def _led_by(items: Sequence[Item], index: int, pauses: frozenset[int] = frozenset()) -> list[Spot]:
    """The small words before an item, up to a landmark's, the nearest first."""
    found: list[Spot] = []
    for item in reversed(items[:index]):
        if isinstance(item, Place):
            if item.only_side and item.start not in pauses:
                continue  # "Behind the left caruncle".
            break
        if item.mark is not Mark.LANDMARK:
            if item.mark is not Mark.FUNCTION and item.slot is not Slot.FILLER:
                break
            found.append(item)
            continue
        return [*found, item]
    return found


def _is_ill(sentence: Sentence, items: Sequence[Item], index: int) -> bool:
    """ "The incisive papilla is swollen": what is there in everybody, and what ails it."""
    copula = False
    for item in items[index + 1 :]:
        if item.start in sentence.pauses:
            return False
        if isinstance(item, Place):
            if not item.only_side:
                return False
            continue
        copula = copula or bool(_COPULA.intersection(item.said))
        if item.slot is Slot.KIND and not item.negated:
            return copula and item.said[-1] in _PREDICATES
        if grammar.INDEFINITE.intersection(item.said):
            return False
        if item.mark is not Mark.FUNCTION and item.slot not in DESCRIBING | {Slot.FILLER}:
            return False
    return False


def ailing_structure(sentence: Sentence, clause: Clause) -> Phrase | None:
    """The structure that the clause says is ill ("the incisive papilla is swollen")."""
    for index, item in enumerate(clause.items):
        variant = isinstance(item, Spot) and item.slot is Slot.NORMAL_VARIANT
        if variant and item is not clause.anchor and _is_ill(sentence, clause.items, index):
            return item.phrase if isinstance(item, Spot) else None
    return None
