"""Sides and node levels of a place."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from dictate.matching.negation import DESCRIBING, Sentence
from dictate.matching.place import SITES, Place
from dictate.matching.spots import Mark, Spot
from dictate.vocabulary.schema import Phrase, Slot

_WAS = (("was",), ("is",))
_LEFT_SO = frozenset(
    {("alone",), ("untreated",), ("unattended",)}
    | {("it", how) for how in ("at", "alone", "as", "for", "there", "like", "out", "untreated")}
)
"""What follows the verb "left"."""
_SURGERY = frozenset({"surgery", "operation", "operations"})


def with_side(sentence: Sentence, place: Place, sides: Sequence[Spot]) -> Place:
    """The place with its side; doubted where two sides were said."""
    values = list(dict.fromkeys(_value(spot.phrase) for spot in sides))
    if not values:
        return place
    place = _either(sentence, _across(place, sides), sides)
    if len(values) == 1:
        return replace(place, side=values[0])
    if _mere_beginning(sentence, sides[0]):
        values = [*values[1:], values[0]]  # "Right, hard palate, left": that is how one begins.
    if _of_the_midline(sentence, sides):
        return replace(place, side=values[0])
    if sides[0].said[-1:] == ("middle",):
        values = [*values[1:], values[0]]  # "In the middle of the left cheek".
    why = f"two sides were said: {' and '.join(values)}"
    others = tuple(("side", value) for value in values)
    return replace(
        place,
        side=values[0],
        doubts=(*place.doubts, ("side", why)),
        others=(*place.others, *others),
    )


def _across(place: Place, sides: Sequence[Spot]) -> Place:
    """ "Crossing the midline": on both sides of it, or does it only reach it?"""
    said = [s.phrase.text for s in sides if s.phrase and s.phrase.vague and "midline" in s.said]
    if not said:
        return place
    others = (("side", "left"), ("side", "right"), ("side", "midline"))
    why = f"“{said[0]}”: both sides, or mostly one?"
    return replace(place, doubts=(*place.doubts, ("side", why)), others=(*place.others, *others))


def _either(sentence: Sentence, place: Place, sides: Sequence[Spot]) -> Place:
    """ "No nodes left or right" is of both; "an ulcer left or right" is a question."""
    said = [spot for spot in sides if "or" in spot.said]
    denied = any(spot.slot is Slot.NORMAL or spot.mark is Mark.NEGATION for spot in sentence.spots)
    if not said or denied:
        return place
    why = f"“{' '.join(said[0].said)}”: which of them?"
    return replace(place, doubts=(*place.doubts, ("side", why)))


def _mere_beginning(sentence: Sentence, side: Spot) -> bool:
    first = side.start == 0 or side.start in sentence.pauses
    alone = first and side.end in sentence.pauses
    return side.said == ("right",) and alone


def _of_the_midline(sentence: Sentence, sides: Sequence[Spot]) -> bool:
    """ "Left of the midline" is left."""
    if len(sides) != 2 or _value(sides[1].phrase) != "midline":
        return False
    between = sentence.words[sides[0].end : sides[1].start]
    return "of" in (*between, *sentence.said(sides[1]))


def with_level(sentence: Sentence, place: Place, levels: Sequence[Spot]) -> Place:
    """The place with its node level, and the region that the level implies."""
    values = list(dict.fromkeys(_value(spot.phrase) for spot in levels))
    region = place.region
    for spot in levels:
        for slot, value in spot.phrase.fills if spot.phrase else ():
            region = region or (str(value) if slot is Slot.REGION else None)
    if any(_pause_before_article(sentence, spot) for spot in levels):
        # "Level two, a node": the "a" after the pause is no part of the level.
        return replace(place, level=values[0].removesuffix("A"), region=region)
    place = replace(place, level=values[0], region=region)
    if len(values) > 1:
        why = f"two levels were said: {' and '.join(values)}"
        place = replace(place, doubts=(*place.doubts, ("node_level", why)))
    if any(_ends_in_article(sentence, spot) for spot in levels):
        why = "the “a” may belong to the words after it"
        return replace(place, doubts=(*place.doubts, ("node_level", why)))
    return place


def _pause_before_article(sentence: Sentence, level: Spot) -> bool:
    return sentence.said(level)[-1] == "a" and level.end - 1 in sentence.pauses


def _ends_in_article(sentence: Sentence, level: Spot) -> bool:
    """ "Level two a five millimetre node": level IIA, or level II and then "a node"."""
    if sentence.said(level)[-1] != "a" or level.end in sentence.pauses:
        return False
    for spot in sentence.spots:
        if spot.start < level.end:
            continue
        if spot.slot is Slot.KIND:
            return True
        if spot.size is None and spot.slot not in DESCRIBING:
            return False
    return False


def told_apart(sentence: Sentence, sides: Sequence[Spot], side: Spot) -> bool:
    """ "Normal on the left, on the right an ulcer": the second side begins a place of its own."""
    held = {_value(each.phrase) for each in sides}
    if not held or held & {_value(side.phrase), "midline"} or _value(side.phrase) == "midline":
        return False
    again = sentence.said(side)[0] == "on" and sentence.said(sides[-1])[0] == "on"
    return again or pause_before(sentence, side)


def pause_between(sentence: Sentence, start: int, end: int) -> bool:
    """True if there is a pause from one word up to another."""
    return bool(sentence.pauses.intersection(range(start, end + 1)))


def pause_before(sentence: Sentence, side: Spot) -> bool:
    """True if a pause stands before it, or before the small words that lead to it."""
    if side.start in sentence.pauses:
        return True
    for spot in reversed([each for each in sentence.spots if each.end <= side.start]):
        if spot.mark is not Mark.FUNCTION and spot.slot is not Slot.FILLER:
            return False
        if spot.start in sentence.pauses:
            return True
    return False


def no_side(sentence: Sentence, spot: Spot) -> bool:
    """True for words of a side that are of something else than where a lesion is."""
    both = of_both(sentence, spot) or _of_two(sentence, spot)
    of_else = both or _of_operation(sentence, spot)
    return of_else or _middle_of_it(sentence, spot) or _is_correct(sentence, spot)


def _is_correct(sentence: Sentence, side: Spot) -> bool:
    """ "Ten, no, eleven, no, ten was right": what was said first."""
    if side.said != ("right",) or sentence.words[side.start - 1 : side.start] not in _WAS:
        return False
    ends = side.end in sentence.pauses or side.end == len(sentence.words)
    return ends and any(s.end == side.start - 1 and s.size is not None for s in sentence.spots)


def _middle_of_it(sentence: Sentence, side: Spot) -> bool:
    """ "Firm at the edges, soft in the middle": of the lesion."""
    if side.slot is not Slot.SIDE or side.said[-1:] != ("middle",):
        return False
    before = next((s for s in reversed(sentence.spots) if s.end <= side.start), None)
    return before is not None and before.end == side.start and before.slot in DESCRIBING


def of_both(sentence: Sentence, side: Spot) -> bool:
    """ "A node on the right, one on the left, both soft": both of them, and no side."""
    if side.said != ("both",):
        return False
    before = {
        _value(s.phrase) for s in sentence.spots if s.slot is Slot.SIDE and s.end <= side.start
    }
    after = next((s for s in sentence.spots if s.start == side.end), None)
    places = [
        s
        for s in sentence.spots
        if s.slot in (Slot.REGION, Slot.NODE_LEVEL) and s.end <= side.start
    ]
    told = {"left", "right"} <= before or (len(places) > 1 and bool(before))
    return told and after is not None and after.slot in DESCRIBING


def _of_two(sentence: Sentence, side: Spot) -> bool:
    """ "Two nodes on the right, both level two": the two of them, and no side."""
    if side.said != ("both",):
        return False
    before = [s for s in sentence.spots if s.end <= side.start]
    two = any(s.said == ("two",) for s in before)
    sided = any(s.slot is Slot.SIDE and _value(s.phrase) != "bilateral" for s in before)
    are = sentence.words[side.start - 1 : side.start] in (("are",), ("were",))
    after = next((s for s in sentence.spots if s.start == side.end), None)
    if not (two and sided and (are or side.start in sentence.pauses)) or after is None:
        return False
    return after.size is not None or after.slot in DESCRIBING | {Slot.NODE_LEVEL}


def _of_operation(sentence: Sentence, side: Spot) -> bool:
    """ "After a left parotidectomy", "old thyroid surgery", "left alone": not where it is found."""
    words = sentence.words[side.end : side.end + 2]
    if side.said == ("left",) and (words[:1] in _LEFT_SO or words in _LEFT_SO):
        return True  # "Left it at that", "left alone".
    after = (*words, "")[0]
    operated = side.slot in SITES and after in _SURGERY
    return operated or (side.slot is Slot.SIDE and after.endswith(("ectomy", "otomy")))


def has_own_side(sentence: Sentence, sides: Sequence[Spot], spot: Spot) -> bool:
    """ "Normal on both sides, lower right ridge": after the pause begins another place."""
    if not sides or not pause_before(sentence, spot):
        return False
    for after in sentence.spots:
        if after.start <= spot.start:
            continue
        if after.slot is Slot.SIDE:
            return after.start not in sentence.pauses
        small = after.mark is Mark.FUNCTION or after.slot is Slot.FILLER
        if after.start in sentence.pauses or not (small or after.slot in SITES):
            return False
    return False


def normal_after(sentence: Sentence, side: Spot) -> bool:
    """ "Ulcer on the right, left normal": the second side is that of the statement."""
    for spot in sentence.spots:
        if spot.start < side.end:
            continue
        if spot.slot is Slot.NORMAL:
            return True
        if spot.mark is not Mark.FUNCTION and spot.slot is not Slot.FILLER:
            return False
    return False


def site_after(sentence: Sentence, side: Spot) -> Spot | None:
    """The region or part that directly follows a side ("left buccal mucosa")."""
    for spot in sentence.spots:
        if spot.start < side.end:
            continue
        if spot.start in sentence.pauses:
            return None
        if spot.slot in (Slot.REGION, Slot.SUBSITE) and not spot.negated:
            return spot
        if not {"of", "the"}.issuperset(sentence.said(spot)):
            return None
    return None


def _value(phrase: Phrase | None) -> str:
    return str(phrase.value) if phrase else ""
