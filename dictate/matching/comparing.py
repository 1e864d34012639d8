"""Sides and lesions that are only compared: "both sides, bigger on the left" is of both."""

from __future__ import annotations

from collections.abc import Sequence

from dictate.matching.items import Item, is_lesion, is_size
from dictate.matching.negation import Sentence
from dictate.matching.no_change import MORE, without_other_changes
from dictate.matching.place import Place
from dictate.matching.spots import Mark, Spot
from dictate.vocabulary.schema import Slot

_BOTH = frozenset({"left", "right"})


def without_compared(sentence: Sentence, items: Sequence[Item]) -> tuple[Item, ...]:
    """The items, with what only compares the sides of a lesion made one remark."""
    made = without_other_changes(sentence, items)
    index = 0
    while index < len(made):
        first, end = _compared(made, index)
        if end > first:
            made[first:end] = [_remark(sentence, made[first:end], made[index])]
            index = first
        index += 1
    return tuple(made)


def _compared(items: Sequence[Item], index: int) -> tuple[int, int]:
    """Where the comparison that `items[index]` makes begins and ends; an empty run if none."""
    item = items[index]
    if not isinstance(item, Spot) or not MORE.intersection(item.said) or item.negated:
        return index, index
    before, after = _side_before(items, index), _side_after(items, index)
    told = {getattr(items[at], "side", None) for at in (before, after) if at is not None}
    if item.said[-1] == "than":
        begun = before is not None and any(map(is_lesion, items[:before]))
        whole = begun and after is not None and told == _BOTH
        return (before or 0, (after or 0) + 1) if whole else (index, index)
    if item.slot is not Slot.CHANGE or len(told & _BOTH) != 1:
        return index, index
    first = index if before is None else before
    end = index + 1 if after is None else after + 1
    both = any(isinstance(each, Place) and each.side == "bilateral" for each in items[:first])
    alone = both and not any(map(is_size, items[end:]))
    return (first, end) if alone else (index, index)


def _side_before(items: Sequence[Item], index: int) -> int | None:
    for at in reversed(range(index)):
        item = items[at]
        if isinstance(item, Place):
            return at if item.paused and item.side in _BOTH else None
        if not _small(item):
            return None
    return None


def _side_after(items: Sequence[Item], index: int) -> int | None:
    for at in range(index + 1, len(items)):
        item = items[at]
        if isinstance(item, Place):
            return at if item.only_side and not item.paused else None
        if not _small(item):
            return None
    return None


def _small(item: Spot) -> bool:
    return item.mark is Mark.FUNCTION or item.slot is Slot.FILLER or item.said == ("a", "bit")


def _remark(sentence: Sentence, items: Sequence[Item], comparing: Item) -> Spot:
    assert isinstance(comparing, Spot)
    start, end = items[0].start, items[-1].end
    phrases = tuple(
        phrase.model_copy(update={"slot": Slot.NOTE, "value": "compared", "fills": ()})
        for phrase in comparing.phrases
    )
    return Spot(start, end, phrases, said=sentence.words[start:end])
