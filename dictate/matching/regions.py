"""Statements about regions: normal, inspected, palpated, not examined."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from dictate.exam.commands import MarkRegion, RegionState
from dictate.matching.clause import Clause
from dictate.matching.gazetteer import Gazetteer
from dictate.matching.ill_health import denied_health, in_doubt
from dictate.matching.negation import Sentence
from dictate.matching.place import Place
from dictate.matching.placing import Here
from dictate.matching.sites import listed
from dictate.matching.spots import Mark, Spot
from dictate.matching.stating import (
    REST,
    ailing,
    none_there,
    not_understood,
    of_attribute,
    reason,
    resembled,
    said_state,
    which_side,
    without_covered,
)
from dictate.vocabulary.schema import Slot

_SWEEPING = frozenset(
    {"everything", "elsewhere", "otherwise", "rest", "remainder", "remaining", "others", "all"}
)
_BESIDE = frozenset({"surrounding", "overlying", "underlying", "adjacent", "neighbouring"})
_NECK_NODES = ("neck", "lymph nodes")
_TWO = 2
_OTHER_SIDE = {"left": "right", "right": "left"}
_SAID_TO_ANYBODY = (["that", "is"], ["it", "is"], ["this", "is"], ["they", "are"])
_POINTING = frozenset({"it", "that", "this", "these", "those", "they", "which", "i", "we"})


@dataclass(frozen=True, slots=True)
class Statement:
    """What a clause says of regions: marks to make, or why none was made."""

    marks: tuple[MarkRegion, ...] = ()
    places: tuple[Place | None, ...] = ()
    """The place that each mark rests on; None when it was carried over."""
    why: str = ""


def state(
    sentence: Sentence,
    clause: Clause,
    here: Here,
    gazetteer: Gazetteer,
    *,
    alone: bool,
    spoken: frozenset[str] = frozenset(),
) -> Statement:
    """The marks of a clause about regions.

    `alone` is True if the utterance holds no lesion: only then may the region in hand be meant.
    With a lesion, a bare side is of the one region that was `spoken` of in the utterance.
    """
    stated = _stated(sentence, clause, here, gazetteer, alone=alone, spoken=spoken)
    assert isinstance(clause.anchor, Spot)
    denied = denied_health(sentence, clause.anchor)
    if not denied or clause.anchor.slot is not Slot.NORMAL:
        return stated
    return replace(stated, marks=tuple(in_doubt(mark, denied) for mark in stated.marks))


def _stated(
    sentence: Sentence,
    clause: Clause,
    here: Here,
    gazetteer: Gazetteer,
    *,
    alone: bool,
    spoken: frozenset[str],
) -> Statement:
    anchor = clause.anchor
    assert isinstance(anchor, Spot)
    assert anchor.phrase is not None
    words = [word for item in clause.items for word in sentence.words[item.start : item.end]]
    found = listed(clause, gazetteer)
    named = tuple(place for place in found if place.region is not None)
    named = without_covered(sentence, anchor, named)
    if named and _SWEEPING.intersection(words) and _excepts(clause):
        return Statement(why="it says normal of all but a region: say which regions are normal")
    structure = _structure(clause)
    if not named and structure is not None:
        side = next((place.side for place in clause.places), None)
        mark = MarkRegion(region=structure, state="inspected", side=_one_side(side))
        return Statement((mark,), (None,))
    if not named:
        sided = clause.places or anchor.phrase.fills
        if sided and (not alone or here.region is None):
            here, alone = _in_breath(here, spoken), len(spoken) < _TWO
        return _unplaced(sentence, clause, here, words, alone=alone)
    named = _under_heading(sentence, _halves_joined(named, gazetteer))
    marks = tuple(_mark(sentence, clause, place, gazetteer) for place in named)
    return Statement(marks, named)


def _excepts(clause: Clause) -> bool:
    """ "Everything normal apart from the tongue": the region named is the one that is not."""
    for item in clause.items:
        if isinstance(item, Place):
            return False
        if item.mark is Mark.EXCEPT:
            return True
    return False


def _under_heading(sentence: Sentence, places: tuple[Place, ...]) -> tuple[Place, ...]:
    """ "Left side, cheek and tongue normal": both of that side; "left cheek, tongue" is asked."""
    first = places[0] if places else None
    if first is None or len(places) < _TWO or first.side not in _OTHER_SIDE:
        return places
    headed = first.spots[0].slot is Slot.SIDE and first.spots[0].end in sentence.pauses
    why = f"“{first.side}” was said of the {first.region}: of this too?"
    made = [first]
    for place in places[1:]:
        if place.side is None:
            doubts = place.doubts if headed else (*place.doubts, ("side", why))
            place = replace(place, side=first.side if headed else None, doubts=doubts)
        made.append(place)
    return tuple(made)


def _of_statement(clause: Clause, region: str) -> str:
    """ "Left neck, no nodes": of the lymph nodes, not of all the neck."""
    assert isinstance(clause.anchor, Spot)
    own = dict(clause.anchor.phrase.fills).get(Slot.REGION) if clause.anchor.phrase else None
    return str(own) if own is not None and (region, own) == _NECK_NODES else region


def _halves_joined(places: tuple[Place, ...], gazetteer: Gazetteer) -> tuple[Place, ...]:
    """ "Upper and lower lips normal": both halves are the lips."""
    made: list[Place] = []
    for place in places:
        same = [
            each
            for each in places
            if each.region == place.region and _one_side(each.side) == _one_side(place.side)
        ]
        if gazetteer.whole(place.region, [each.subsite for each in same]):
            place = replace(place, subsite=None, doubts=(), inferred=False)
            if any(each.region == place.region and each.subsite is None for each in made):
                continue
        made.append(place)
    return tuple(made)


def _structure(clause: Clause) -> str | None:
    """The region of a structure that is said to be normal ("incisive papilla normal")."""
    for spot in clause.spots:
        if spot.slot is Slot.NORMAL_VARIANT and not spot.negated and spot.phrase is not None:
            return next((str(v) for slot, v in spot.phrase.fills if slot is Slot.REGION), None)
    return None


def _in_breath(here: Here, spoken: frozenset[str]) -> Here:
    """ "Ulcer on the right of the tongue, left normal": the left of the tongue."""
    if len(spoken) != 1:
        return here
    return replace(here, region=next(iter(spoken)), gone_to=True)


def _unplaced(
    sentence: Sentence, clause: Clause, here: Here, words: list[str], *, alone: bool
) -> Statement:
    assert isinstance(clause.anchor, Spot)
    assert clause.anchor.phrase is not None
    implied = dict(clause.anchor.phrase.fills).get(Slot.REGION)
    told = _told_side(clause)
    side = next((place.side for place in clause.places), None)
    named_last = here.last.region if here.last is not None and here.last_in_breath else None
    here_too = "here" in words and not REST.union({"elsewhere"}).intersection(words)
    if implied is not None:
        mark = MarkRegion(region=str(implied), state=said_state(clause), side=_one_side(side))
        return Statement((mark,), (None,))
    if _SWEEPING.intersection(words) and not here_too:
        return Statement(why="it names no region: say which regions are normal, one by one")
    if not alone or here.region is None or _BESIDE.intersection(words):
        return Statement(why="it names no region")
    if words[:2] in _SAID_TO_ANYBODY and not clause.places:
        return Statement(why="“that is normal” names no region, and may be said to anybody")
    sides = (told,) if told is not None else _each_side(clause, here)
    settled = here.gone_to or _opposite(here, sides)
    sure = settled and _only_health(clause, words)
    doubts = [why for place in clause.places for name, why in place.doubts if name == "side"]
    sure = sure and named_last in (None, here.region)
    doubts += [] if sure else ["no region was said: taken to be the one in hand"]
    marks = tuple(
        MarkRegion(
            region=here.region,
            state=_of_part(none_there(clause, here.region), here, side),
            side=side,
            reason=reason(sentence, clause),
            doubt="; ".join(dict.fromkeys(doubts)) or None,
        )
        for side in sides
    )
    return Statement(marks, (None,) * len(marks))


def _of_part(said: RegionState, here: Here, side: str | None) -> RegionState:
    """ "Cyst in the left vallecula, right clear": the vallecula, and not all of that side."""
    last = here.last
    meant = here.last_in_breath or _opposite(here, (side,))
    part = last is not None and last.region == here.region and last.subsite is not None
    return "inspected" if meant and part and side is not None and said == "normal" else said


def _told_side(clause: Clause) -> str | None:
    """The side that the statement itself names ("nothing on the left")."""
    anchor = clause.anchor
    fills = anchor.phrase.fills if isinstance(anchor, Spot) and anchor.phrase else ()
    return next((str(value) for slot, value in fills if slot is Slot.SIDE), None)


def _opposite(here: Here, sides: Sequence[str | None]) -> bool:
    """ "Normal on the right", said after a finding on the left of the region in hand."""
    last = here.last
    if last is None or last.region != here.region or last.side not in _OTHER_SIDE:
        return False
    return tuple(sides) == (_OTHER_SIDE[last.side],)


def _each_side(clause: Clause, here: Here) -> tuple[str | None, ...]:
    """The side that a statement about the region in hand is of; "the other side" too."""
    carried = {p.value for s in clause.spots for p in s.phrases if p.slot is Slot.CARRY}
    last = here.last.side if here.last is not None else here.side
    if "other side" in carried and last in _OTHER_SIDE:
        return (_OTHER_SIDE[last],)
    sides = [place.side for place in clause.places]
    if {"left", "right"} <= set(sides):
        return (None,)
    return (_one_side(sides[0]) if sides else None,)


def _only_health(clause: Clause, words: Sequence[str]) -> bool:
    """True if nothing but health and a side is said; "it is normal" may be said to anybody."""
    if _POINTING.intersection(words):
        return False
    return all(
        spot.mark is Mark.FUNCTION or spot.slot in (Slot.NORMAL, Slot.FILLER, Slot.CARRY)
        for spot in clause.spots
    )


def _mark(sentence: Sentence, clause: Clause, place: Place, gazetteer: Gazetteer) -> MarkRegion:
    region = _of_statement(clause, str(place.region))
    state_said = none_there(clause, region)
    ill = ailing(clause) if state_said == "normal" else ""
    part = place.subsite is not None or place.level is not None
    partly = part or of_attribute(sentence, clause)
    if state_said == "normal" and (partly or ill):
        # A part that is normal says nothing of the rest: silence is not normal.
        state_said = "inspected"
    side = _one_side(place.side or _told_side(clause))
    side = side if gazetteer.paired(region, place.subsite) else None
    doubts = [why for name, why in place.doubts if name in ("region", "side")]
    doubts += resembled(place)
    doubts += [f"“{' '.join(s.said)}”: taken back" for s in clause.spots if s.mark is Mark.REPAIR]
    if state_said == "normal":
        doubts += not_understood(clause)
    if ill:
        doubts.append(f"“{ill}” was said as well as normal")
    doubts += which_side(clause, side)
    if state_said == "not_examined" and place.subsite is not None:
        doubts.append(f"only the {place.subsite} was said not to be examined")
    return MarkRegion(
        region=region,
        state=state_said,
        side=side,
        reason=reason(sentence, clause),
        doubt="; ".join(doubts) or None,
    )


def _one_side(side: str | None) -> str | None:
    """Both sides are the whole region, which is said by None."""
    return side if side in ("left", "right") else None
