"""What describes a region in health, and regions that are described so.

Described in health a region was looked at or felt; it is not pronounced normal by that.
source of the words: common practice, no source
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import TypeGuard

from dictate.exam.commands import MarkRegion
from dictate.matching.clause import Clause
from dictate.matching.draft import Draft
from dictate.matching.grammar import AND, INDEFINITE
from dictate.matching.items import Item
from dictate.matching.negation import Sentence
from dictate.matching.outcome import Outcome
from dictate.matching.place import Place
from dictate.matching.placing import Here
from dictate.matching.spots import Mark, Spot
from dictate.vocabulary.schema import Slot

LUMPS = frozenset({"lump", "nodule", "mass", "swelling", "lymph node", "thickening"})
"""Kinds whose absence is told by touch."""
PALPABLE = frozenset({"consistency", "tender", "mobility"})
"""Fields that are told by touch."""
_HEALTHY: dict[str, frozenset[object]] = {
    "consistency": frozenset(
        {"soft", "pliable", "not indurated", "not fluctuant", "not pulsatile"}
    ),
    "tender": frozenset({False}),
    "mobility": frozenset({"mobile"}),
    "surface": frozenset({"smooth", "not ulcerated", "flat"}),
    "colours": frozenset({"pink", "mucosa-coloured", "skin-coloured"}),
    "distribution": frozenset({"symmetrical", "generalised"}),
}


_QUALIFYING = frozenset({"good", "great", "clean", "lovely", "grand"})
"""Such words that may as well stand before a noun, or before "bit"."""
_GOING_ON = AND | {"too", "both"}
_LEADING = frozenset({"with", "fault", "on", "in"})
"""Last words of such a "fine" that stands before its place ("happy with the palate")."""
_ON = (("on",), ("in",), ("with",))
_WORKS = "works"
"""Remarks that a part moves and works as in health."""
_AILING_NOTES = frozenset(
    {"enlarged", "suspicious", "large", "prominent", "trauma", "looks", "cause", "moves"}
)


def only_works(clause: Clause) -> bool:
    """True if all that is remarked is that the part works ("full range of motion")."""
    notes = [spot.phrase.value for spot in clause.spots if spot.slot is Slot.NOTE and spot.phrase]
    return bool(notes) and all(note == _WORKS for note in notes)


def without_loose(sentence: Sentence, items: Sequence[Item]) -> tuple[Item, ...]:
    """The items without "fine" and its like where no place stands right beside them.

    "Tongue's fine" and "nothing on the palate" speak of health; a "fine" by itself is talk.
    """
    return tuple(
        item if not _loose(item) or _stands(sentence, items, index, item) else _silent(item)
        for index, item in enumerate(items)
    )


def _stands(sentence: Sentence, items: Sequence[Item], index: int, item: Spot) -> bool:
    """ "Lips, good": but not "a good bit bigger", "the border clean cut"."""
    if len(item.said) == 1 and item.said[0] in _QUALIFYING:
        following = sentence.words[item.end : item.end + 1]
        ends = not following or item.end in sentence.pauses or following[0] in _GOING_ON
        if not ends or sentence.words[max(0, item.start - 1)] in INDEFINITE:
            return False
    return _beside_place(items, index, item)


def _loose(item: Item) -> TypeGuard[Spot]:
    if isinstance(item, Place) or item.slot is not Slot.NORMAL:
        return False
    return item.phrase is not None and item.phrase.vague


def _silent(item: Item) -> Item:
    assert isinstance(item, Spot)
    return replace(item, phrases=(), mark=Mark.FUNCTION)


def _beside_place(items: Sequence[Item], index: int, item: Spot) -> bool:
    after = items[index + 1 :]
    if item.said[0] in ("nothing", "cannot", "not") or item.said[-1] in _LEADING:
        alone = item.said[-1] in ("here", "there")
        return alone or _first_telling(after) or _first_telling(reversed(items[:index]))
    led = bool(after) and not isinstance(after[0], Place) and after[0].said[:1] in _ON
    return _first_telling(reversed(items[:index])) or (led and _first_telling(after))


def _first_telling(items: Iterable[Item]) -> bool:
    for item in items:
        if isinstance(item, Place):
            return True
        if item.mark is not Mark.FUNCTION and item.slot is not Slot.FILLER:
            return False
    return False


def notes_ail(clause: Clause) -> bool:
    """True if a remark speaks against health ("enlarged, soft, not tender")."""
    return any(
        spot.slot is Slot.NOTE
        and not spot.negated
        and spot.phrase is not None
        and spot.phrase.value in _AILING_NOTES
        for spot in clause.spots
    )


def notes_deny(clause: Clause) -> bool:
    """True if all that is remarked is that nothing ails it ("the thyroid is not enlarged")."""
    notes = [spot for spot in clause.spots if spot.slot is Slot.NOTE and spot.phrase is not None]
    return bool(notes) and all(
        spot.negated and spot.phrase is not None and spot.phrase.value in _AILING_NOTES
        for spot in notes
    )


def is_healthy(field: str | None, value: object) -> bool:
    """True if a region in health may be described so."""
    return value in _HEALTHY.get(field or "", frozenset())


def is_health(draft: Draft) -> bool:
    """True if nothing but health is described."""
    for name, value in draft.details().items():
        if name == "denied_symptoms":
            continue
        held = value if isinstance(value, list) else [value]
        if not all(is_healthy(name, each) for each in held):
            return False
    return not draft.doubts


def mark_healthy(clause: Clause, draft: Draft, place: Place | None, here: Here) -> Outcome:
    region = place.region if place is not None and place.region else here.region
    if region is None:
        return Outcome("aside", draft, why="it names no lesion and no place")
    absent = {spot.phrase.value for spot in clause.spots if spot.negated and spot.phrase}
    absent |= {value for slot, value in (place.implied if place else ()) if slot is Slot.KIND}
    felt = bool(absent & LUMPS or PALPABLE & set(draft.details()))
    side = place.side if place is not None and place.side in ("left", "right") else None
    doubts = [why for _, why in place.doubts] if place is not None else []
    if place is None or place.region is None:
        doubts.append("no region was said: taken to be the one in hand")
    mark = MarkRegion(
        region=region,
        state="palpated" if felt else "inspected",
        side=side,
        doubt="; ".join(doubts) or None,
    )
    return Outcome("mark", draft, mark, place)
