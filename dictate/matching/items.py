"""The items of a sentence: places, and spots that are none; what each may be."""

from __future__ import annotations

from collections.abc import Sequence

from dictate.matching import grammar
from dictate.matching.negation import DESCRIBING, Sentence
from dictate.matching.place import Place
from dictate.matching.spots import Mark, Spot
from dictate.vocabulary.schema import Slot

Item = Place | Spot
LESIONS = frozenset({Slot.KIND, Slot.NORMAL_VARIANT})


_LYING = frozenset({"above", "below", "behind", "under", "beneath"})
_TO_THE_SIDE = frozenset({("to", "the", "left"), ("to", "the", "right")})
_OVER = frozenset({"crossing", "crosses", "across", "over", "past", "beyond"})
_OF_ONE = frozenset({"a", "an", "one", "half", "quarter", "point", "quarters"})
"""Words of a size that is in the singular by itself ("half a centimetre")."""
_FROM = frozenset({"of", "from", "off"})
_AWAY = ("away",)
_AT = (("on",), ("in",), ("at",))


def is_lesion(item: Item) -> bool:
    """True if the item names a lesion that is said to be there."""
    if isinstance(item, Place):
        return any(slot is Slot.KIND for slot, _ in item.implied)
    return item.slot in LESIONS and not item.negated


def states_health(item: Item) -> bool:
    """True if the item pronounces something healthy."""
    return isinstance(item, Spot) and item.slot is Slot.NORMAL


def own_region(item: Item | None) -> str | None:
    """The region that the name of a lesion fixes by itself ("torus palatinus")."""
    if not isinstance(item, Spot) or item.phrase is None:
        return None
    return next((str(value) for slot, value in item.phrase.fills if slot is Slot.REGION), None)


def is_denied(items: Sequence[Item], index: int) -> bool:
    """True for a place that names a lesion after a "no" ("no submandibular nodes")."""
    for item in reversed(items[:index]):
        if isinstance(item, Place):
            return False
        if item.mark is Mark.NEGATION:
            return True
        if item.mark is not Mark.FUNCTION and item.slot not in DESCRIBING | {Slot.FILLER}:
            return False
    return False


def is_landmark(items: Sequence[Item], index: int) -> bool:
    """True if "behind" or its like makes the place at `index` a landmark, not a site."""
    place = items[index]
    if _is_away(items, index):
        return True
    for at in reversed(range(index)):
        item = items[at]
        if isinstance(item, Place):
            return isinstance(place, Place) and place.joined and is_landmark(items, at)
        if "towards" in item.said and _beyond(items[:at], place):
            return True
        if item.mark is Mark.LANDMARK:
            return not _leads_by_itself(items, at)
        if item.mark is not Mark.FUNCTION and item.slot is not Slot.FILLER:
            return False
    return False


def _is_away(items: Sequence[Item], index: int) -> bool:
    """ "The tip is two centimetres away": how far from it."""
    for at in range(index + 1, len(items) - 1):
        item, after = items[at], items[at + 1]
        if isinstance(item, Place):
            return False
        if item.size is not None:
            return isinstance(after, Spot) and after.said[:1] == _AWAY
        if item.mark is not Mark.FUNCTION and item.slot is not Slot.FILLER:
            return False
    return False


def _leads_by_itself(items: Sequence[Item], index: int) -> bool:
    """ "A scar just below on the jaw line": it is on the jaw line, and below something else."""
    mark, after = items[index], items[index + 1]
    assert isinstance(mark, Spot)
    said = after.spots[0].said if isinstance(after, Place) else after.said
    return len(mark.said) == 1 and said[:1] in _AT


def _beyond(before: Sequence[Item], place: Item) -> bool:
    """ "From the left tuberosity towards the soft palate": which way it goes."""
    named = [item.region for item in before if isinstance(item, Place) and item.region]
    return isinstance(place, Place) and bool(named) and place.region not in (None, *named)


def is_distance(sentence: Sentence, items: Sequence[Item], index: int) -> bool:
    """ "Five millimetres behind the commissure": where a lesion lies, not how large it is."""
    after = items[index + 1] if index + 1 < len(items) else None
    if _far_from(items, index) or sentence.words[items[index].end :][:1] == _AWAY:
        return True
    if _from_midline(sentence, items, index) or _leads_to_landmark(sentence, items, index):
        return True
    if isinstance(after, Spot) and _near_midline(after) and after.start not in sentence.pauses:
        return True
    if not isinstance(after, Spot) or after.mark is not Mark.LANDMARK:
        return False
    if after.said[0] in grammar.BESIDE:
        return False
    return after.start not in sentence.pauses


def _far_from(items: Sequence[Item], index: int) -> bool:
    """ "Distance to the frenum about eight millimetres": said after what it leads to."""
    placed = False
    for item in reversed(items[:index]):
        if isinstance(item, Place):
            if placed:
                return False
            placed = True
        elif item.mark is Mark.LANDMARK:
            return placed and "distance" in item.said
        elif item.mark is not Mark.FUNCTION and item.slot is not Slot.FILLER:
            return False
    return False


def _near_midline(spot: Spot) -> bool:
    """ "Two millimetres short of the midline": how far from it."""
    return spot.slot is Slot.NOTE and spot.said[-1:] == ("midline",)


def _from_midline(sentence: Sentence, items: Sequence[Item], index: int) -> bool:
    """ "A centimetre to the left of the midline", "off the midline by five millimetres"."""
    item = items[index]
    if sentence.words[max(0, item.start - 2) : item.start] == ("midline", "by"):
        return not _crossing(sentence, item.start)
    for after in items[index + 1 :]:
        if after.start in sentence.pauses:
            return False
        if isinstance(after, Place):
            words = sentence.words[item.end : after.end]
            led = sentence.words[item.end : item.end + 4]
            to_the_side = led[:3] in _TO_THE_SIDE and led[3:4] == ("of",)
            off = after.only_side and words[-1] == "midline" and bool(_FROM.intersection(words))
            return to_the_side or off
        if after.mark is not Mark.FUNCTION and after.slot is not Slot.FILLER:
            return False
    return False


def _crossing(sentence: Sentence, end: int) -> bool:
    """ "Crossing the midline by five millimetres": how far it goes, which is asked."""
    return bool(_OVER.intersection(sentence.words[max(0, end - 5) : end]))


def _leads_to_landmark(sentence: Sentence, items: Sequence[Item], index: int) -> bool:
    """ "One centimetre above the clavicle": the name of the place begins with how it lies."""
    after = items[index + 1] if index + 1 < len(items) else None
    if not isinstance(after, Place) or after.start != items[index].end:
        return False
    led = sentence.words[after.start : after.start + 2]  # A side may stand before it.
    return after.start not in sentence.pauses and bool(_LYING.intersection(led))


def led_by_size(items: Sequence[Item], index: int) -> bool:
    """ "Firm, two centimetre left level three node": in the singular it leads what follows."""
    size, place = items[index - 1] if index else None, items[index]
    if not isinstance(size, Spot) or not is_size(size) or not isinstance(place, Place):
        return False
    adjective = size.said[-1].endswith("metre") and not _OF_ONE.intersection(size.said)
    return adjective and size.end == place.start and not place.paused


def before_noun(spot: Spot) -> bool:
    """True if the spot may stand in a noun phrase, before its noun."""
    if spot.slot in DESCRIBING or spot.size is not None:
        return True
    return spot.mark is Mark.FUNCTION or spot.slot is Slot.FILLER


def noun_follows(items: Sequence[Item], index: int) -> bool:
    """True if a lesion is named right after ("another white plaque")."""
    for item in items[index + 1 :]:
        if is_lesion(item):
            return True
        if isinstance(item, Place) or not before_noun(item):
            return False
    return False


def counts(item: Spot) -> bool:
    """True for a bare number."""
    return item.size is not None and not item.size.led


def is_size(item: Item) -> bool:
    """True for a number that is said to be a size, by a unit or by its form."""
    return isinstance(item, Spot) and item.size is not None and item.size.led
