"""Self-corrections: "on the right, sorry, on the left" means the left.

What stands after the repair takes the place of the same kind of words before it, and every
field that changes by it is asked about. Where nothing before it fits, the repair stays
unresolved, and all of the finding is in doubt.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from dictate.matching.place import SITES
from dictate.matching.spots import Mark, Spot
from dictate.vocabulary.schema import Slot

_REGION = frozenset({Slot.REGION, Slot.SUBSITE})
_PASSED = frozenset({Mark.FUNCTION, Mark.REPAIR, Mark.UNKNOWN, Mark.NEGATION})
_SMALL = frozenset({Slot.FILLER, Slot.CARRY})
_SIZE, _TIME = "size", "time"


def repaired(spots: Sequence[Spot], pauses: frozenset[int]) -> tuple[Spot, ...]:
    """The spots, with what was taken back turned into small words and kept at its repair."""
    made = list(spots)
    for index, spot in enumerate(spots):
        if spot.mark is Mark.REPAIR:
            _repair(made, index, pauses)
    return tuple(made)


def _repair(spots: list[Spot], index: int, pauses: frozenset[int]) -> None:
    said = _after(spots, index, pauses)
    if said and _only_denies(spots, index, said):
        spots[index] = replace(spots[index], mark=Mark.FUNCTION)
        return
    gone = _before(spots, index, said) if said else []
    if gone:
        anew = [spots[at] for at in said]
        changed = tuple(spots[at] for at in gone if not _repeated(spots[at], anew))
        spots[index] = replace(spots[index], mark=Mark.REPAIR, taken_back=changed, settled=True)
        for at in (*gone, *_statement(spots, gone, index, said)):
            spots[at] = replace(spots[at], phrases=(), size=None, duration=None, mark=Mark.FUNCTION)
        _level_again(spots, index)
    elif spots[index].soft:
        spots[index] = replace(spots[index], mark=Mark.FUNCTION)


def _only_denies(spots: Sequence[Spot], index: int, said: Sequence[int]) -> bool:
    """ "The lower lip, I meant, not the upper": it stands after what was meant."""
    denies = spots[index + 1].said == ("not",) and spots[index].said[-1] in ("mean", "meant")
    kind = _class(spots[said[0]])
    return denies and not any(_class(spot) == kind for spot in spots[said[-1] + 1 :])


def _level_again(spots: list[Spot], index: int) -> None:
    """ "Left neck node, level two, sorry, right neck, level two": the level is said anew too."""
    anew = {s.phrase.value for s in spots[index:] if s.slot is Slot.NODE_LEVEL and s.phrase}
    for at in range(index):
        spot = spots[at]
        if spot.slot is Slot.NODE_LEVEL and spot.phrase and spot.phrase.value in anew:
            spots[at] = replace(spot, phrases=(), mark=Mark.FUNCTION)


def _class(spot: Spot) -> object:
    """What a spot can stand for: places for places, sizes for sizes, words for words."""
    if spot.size is not None:
        return _SIZE
    if spot.duration is not None:
        return _TIME
    if spot.slot in SITES:
        return SITES
    if spot.mark is not None or spot.slot is None or spot.slot in _SMALL:
        return None
    return "word"


def _after(spots: Sequence[Spot], index: int, pauses: frozenset[int]) -> list[int]:
    """Indices of the words that stand after the repair, as far as they are of one class."""
    found: list[int] = []
    first: object = None
    for at in range(index + 1, len(spots)):
        spot = spots[at]
        kind = _class(spot)
        if found and (spot.start in pauses or kind not in (None, first)):
            break
        if kind is None:
            if spot.mark in _PASSED or spot.slot in _SMALL:
                continue
            break
        first = kind
        found.append(at)
        if kind in (_SIZE, _TIME) or spot.slot in (Slot.KIND, Slot.NORMAL_VARIANT):
            break
    return found


def _before(spots: Sequence[Spot], index: int, said: Sequence[int]) -> list[int]:
    """Indices of what is taken back: the nearest words before the repair that it replaces."""
    kind = _class(spots[said[0]])
    slots = {spots[at].slot for at in said}
    if slots & _REGION:
        slots |= _REGION
    found: list[int] = []
    for at in reversed(range(index)):
        spot = spots[at]
        if found and _class(spot) not in (None, kind):
            break
        if _class(spot) == kind and (kind in (_SIZE, _TIME) or spot.slot in slots):
            found.append(at)
            if kind in (_SIZE, _TIME):
                break
    return found


def _repeated(spot: Spot, anew: Sequence[Spot]) -> bool:
    """True if the very same value was said again, which changes nothing."""
    return any(
        spot.slot is each.slot and spot.phrase and each.phrase
        and spot.phrase.value == each.phrase.value and spot.phrase.negated == each.phrase.negated
        for each in anew
    )  # fmt: skip


def _statement(
    spots: Sequence[Spot], gone: Sequence[int], index: int, said: Sequence[int]
) -> list[int]:
    """ "Hard palate normal, sorry, soft palate normal": the first "normal" goes with its place."""
    again = spots[said[-1] + 1 : said[-1] + 3]
    if not any(spot.slot is Slot.NORMAL for spot in again):
        return []
    return [at for at in range(max(gone), index) if spots[at].slot is Slot.NORMAL]
