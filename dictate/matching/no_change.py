"""Words of change that tell of no change of the lesion: "the larger one", "his new denture"."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from dictate.matching.items import Item
from dictate.matching.negation import DESCRIBING, Sentence
from dictate.matching.place import Place
from dictate.matching.spots import Mark, Spot
from dictate.vocabulary.schema import Slot

MORE = frozenset({"bigger", "larger", "smaller"})
_ONE = frozenset({("one",), ("ones",)})
_BEFORE = (("than",), ("now",), ("again",))
_FOLLOWED = frozenset({Slot.KIND, Slot.NORMAL_VARIANT, Slot.FILLER, Slot.CARRY, Slot.CHANGE})


def without_other_changes(sentence: Sentence, items: Sequence[Item]) -> list[Item]:
    """The items, with such words made small ones."""
    return [
        replace(item, phrases=(), mark=Mark.FUNCTION)
        if isinstance(item, Spot)
        and item.slot is Slot.CHANGE
        and not item.negated
        and _of_else(sentence, items, index, item)
        else item
        for index, item in enumerate(items)
    ]


def _of_else(sentence: Sentence, items: Sequence[Item], index: int, item: Spot) -> bool:
    if MORE.issuperset(item.said):
        after = sentence.words[item.end : item.end + 1]
        return after in _ONE or (after not in _BEFORE and _after_another(items, index))
    following = items[index + 1] if index + 1 < len(items) else None
    if following is None or following.start in sentence.pauses:
        return False
    if item.said == ("new",):
        return _is_thing(following)
    return item.said[-1:] == ("gone",) and _is_state(following)


def _after_another(items: Sequence[Item], index: int) -> bool:
    """ "A second one on the left, smaller": than the first, and not than it was."""
    for item in reversed(items[:index]):
        if isinstance(item, Place):
            continue
        if any(p.slot is Slot.CARRY and p.value == "another" for p in item.phrases):
            return True
        if item.slot in (Slot.KIND, Slot.NORMAL_VARIANT):
            return "second" in _led(items, item)
    return False


def _led(items: Sequence[Item], lesion: Spot) -> tuple[str, ...]:
    before = [i for i in items if isinstance(i, Spot) and lesion.start - 3 < i.end <= lesion.start]
    return tuple(word for item in before for word in item.said)


def _is_thing(item: Item) -> bool:
    """ "The new plate", "a new denture": what is new is no lesion."""
    if isinstance(item, Place):
        return any(spot.likely is not None for spot in item.spots)
    if item.slot in _FOLLOWED | DESCRIBING - {Slot.NOTE} or item.size is not None:
        return False
    return item.mark in (Mark.UNKNOWN, Mark.TOOTH) or item.slot is Slot.NOTE


def _is_state(item: Item) -> bool:
    """ "Has gone hard", "has gone loose": it is so now, and not away."""
    if isinstance(item, Place):
        return False
    described = item.slot in DESCRIBING - {Slot.NOTE, Slot.CHANGE}
    return described or (item.mark is Mark.UNKNOWN and not item.said[-1].endswith("ly"))
