"""A second name for the same lesion: "lump in the left cheek, soft, lobulated, lipoma".

A word for what is seen or felt, and after it, without a place, a number or a size of its own, a
word for what it is taken to be. The first is kept, and the name is asked about.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import zip_longest

from dictate.matching import grammar
from dictate.matching.items import Item, counts, is_size, own_region
from dictate.matching.negation import Sentence
from dictate.matching.place import Place
from dictate.matching.spots import Mark, Spot
from dictate.vocabulary.schema import Slot

_SEEN_OR_FELT = frozenset(
    {
        *("lump", "swelling", "nodule", "mass", "growth", "lesion", "area", "patch", "spot"),
        *("papule", "plaque", "tumour", "macule", "ulcer", "erosion", "fissure", "vesicle"),
        *("bulla", "blister", "pustule", "sinus tract", "scar", "crust", "petechia", "erythema"),
        *("discolouration", "thickening", "lymph node", "asymmetry", "atrophy"),
    }
)
"""Kinds that say what it looks or feels like, not what it is. source: common practice, no source"""
_SIGNS = (("crusting",),)
"""Kinds that are as much said of another lesion."""


def without_second_names(
    sentence: Sentence, items: Sequence[Item], lesions: Sequence[int]
) -> list[int]:
    """The lesions but for those that are what the one before is taken to be."""
    kept: list[int] = []
    for index, following in zip_longest(lesions, lesions[1:]):
        end = len(items) if following is None else _next_begins(items, index, following)
        if not (kept and is_second_name(sentence, items[:end], kept[-1], index)):
            kept.append(index)
    return kept


def _next_begins(items: Sequence[Item], index: int, following: int) -> int:
    """Where the words of the lesion after begin: at its place, if a pause stands before that."""
    for at in range(index + 1, following):
        item = items[at]
        if isinstance(item, Place) and item.paused:
            return at
    return following


PLAIN = frozenset({"lump", "swelling", "growth", "bony growth", "area", "spot", "lesion"})
"""Kinds that a variant of the normal may be called by before it is named."""
_IT_IS = (("it", "is"), ("this", "is"), ("that", "is"))
_POINTING = frozenset({Slot.FILLER, Slot.CARRY})


def is_second_name(sentence: Sentence, items: Sequence[Item], first: int, index: int) -> bool:
    """True if the lesion at `index` is what the one at `first` is taken to be, or shows."""
    if first >= index:
        return False
    one, other = items[first], items[index]
    if isinstance(one, Place) or isinstance(other, Place):
        return False
    if one.phrase is None or other.slot is not Slot.KIND or other.phrase is None:
        return False
    regions = {place.region for place in items[:index] if isinstance(place, Place)} - {None}
    if not regions or own_region(other) not in {None, *regions} or _of_its_own(items, index):
        return False
    if other.said in _SIGNS:
        return other.start in sentence.pauses
    named = one.phrase.value in _SEEN_OR_FELT and other.phrase.value not in _SEEN_OR_FELT
    if not named or one.phrase.plural != other.phrase.plural:
        return False
    sized = any(map(is_size, items[index:]))
    return is_supposed(items, index) or (not sized and _bare(sentence, items, index))


def is_supposed(items: Sequence[Item], index: int) -> bool:
    """ "Probably a stone"."""
    for item in reversed(items[:index]):
        if isinstance(item, Spot) and item.mark is Mark.NOT_SURE:
            return True
        if isinstance(item, Place):
            return False
        if item.mark is not Mark.FUNCTION and item.slot is not Slot.FILLER:
            return False
    return False


def _of_its_own(items: Sequence[Item], index: int) -> bool:
    """True if a place follows, or a size where one was said before."""
    after = items[index + 1 :]
    sized = any(map(is_size, items[:index])) and any(map(is_size, after))
    return sized or any(isinstance(item, Place) for item in after)


def _bare(sentence: Sentence, items: Sequence[Item], index: int) -> bool:
    """True if nothing leads to it but a pause, and a pause or the end follows it."""
    item, before = items[index], items[index - 1]
    after = items[index + 1] if index + 1 < len(items) else None
    if _is_called(sentence, item.start):
        return after is None or after.start in sentence.pauses
    if item.start not in sentence.pauses or item.start in sentence.stops:
        return False
    counted = isinstance(before, Spot) and (counts(before) or grammar.AND.intersection(before.said))
    return not counted and (after is None or after.start in sentence.pauses)


def _is_called(sentence: Sentence, index: int) -> bool:
    """ "Hot red swelling, painful, it is an abscess": said after a pause, of the one before."""
    begins = sentence.begins(index)
    led = sentence.words[begins:index]
    return bool(begins) and led[:2] in _IT_IS and set(led[2:]) <= grammar.INDEFINITE | {"just"}


def plain_follows(items: Sequence[Item], index: int) -> bool:
    """ "Another below the ear, parotid tail, lump, nine millimetres": the lump is that other."""
    placed = False
    for at in range(index + 1, len(items)):
        item = items[at]
        if isinstance(item, Place):
            placed = True
        elif item.phrase is not None and item.phrase.value in PLAIN and item.slot is Slot.KIND:
            return placed and not any(isinstance(each, Place) for each in items[at:])
        elif item.mark not in (Mark.FUNCTION, Mark.LANDMARK) and item.slot not in _POINTING:
            return False
    return False
