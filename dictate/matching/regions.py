"""Statements about regions: normal, inspected, palpated, not examined."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from dictate.exam.commands import MarkRegion, RegionState
from dictate.matching.clause import Clause
from dictate.matching.gazetteer import Gazetteer
from dictate.matching.grammar import word_set
from dictate.matching.health import is_healthy
from dictate.matching.negation import DESCRIBING, Sentence
from dictate.matching.place import Place
from dictate.matching.placing import Here
from dictate.matching.sites import listed
from dictate.matching.spots import Mark, Spot
from dictate.vocabulary.schema import Slot

_SWEEPING = frozenset(
    {"everything", "elsewhere", "otherwise", "rest", "remainder", "remaining", "others", "all"}
)
_REST = frozenset({"rest", "remainder", "remaining"})
"""Words for a region but for a part of it: the region as a whole is not pronounced normal."""
_BESIDE = frozenset({"surrounding", "overlying", "underlying", "adjacent", "neighbouring"})
_TWO = 2
_NO_REASON = "no reason given"
_OTHER_SIDE = {"left": "right", "right": "left"}
_ATTRIBUTES = word_set("""
    colour size texture mobility movement movements function sensation shape position surface
    consistency contour tone symmetry opening range appearance border borders edge edges margin
    margins base outline
    """)
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
    anchor = clause.anchor
    assert isinstance(anchor, Spot)
    assert anchor.phrase is not None
    words = [word for item in clause.items for word in sentence.words[item.start : item.end]]
    found = listed(clause, gazetteer)
    named = tuple(place for place in found if place.region is not None)
    if named and _SWEEPING.intersection(words) and _excepts(clause):
        return Statement(why="it says normal of all but a region: say which regions are normal")
    structure = _structure(clause)
    if not named and structure is not None:
        side = next((place.side for place in clause.places), None)
        mark = MarkRegion(region=structure, state="inspected", side=_one_side(side))
        return Statement((mark,), (None,))
    if not named:
        sided = clause.places or anchor.phrase.fills
        if not alone and sided:
            here, alone = _in_breath(here, spoken), len(spoken) < _TWO
        return _unplaced(sentence, clause, here, words, alone=alone)
    named = _halves_joined(named, gazetteer)
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
    here_too = "here" in words and not _REST.union({"elsewhere"}).intersection(words)
    if implied is not None:
        mark = MarkRegion(region=str(implied), state=_state(clause), side=_one_side(side))
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
    doubts += [] if sure else ["no region was said: taken to be the one in hand"]
    marks = tuple(
        MarkRegion(
            region=here.region,
            state=_state(clause),
            side=side,
            reason=_reason(sentence, clause),
            doubt="; ".join(dict.fromkeys(doubts)) or None,
        )
        for side in sides
    )
    return Statement(marks, (None,) * len(marks))


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
    region = str(place.region)
    state_said = _state(clause)
    ailing = _ailing(clause) if state_said == "normal" else ""
    part = place.subsite is not None or place.level is not None
    partly = part or _of_attribute(sentence, clause)
    if state_said == "normal" and (partly or ailing):
        # A part that is normal says nothing of the rest: silence is not normal.
        state_said = "inspected"
    side = _one_side(place.side or _told_side(clause))
    side = side if gazetteer.paired(region, place.subsite) else None
    doubts = [why for name, why in place.doubts if name in ("region", "side")]
    doubts += _resembled(place)
    doubts += [f"“{' '.join(s.said)}”: taken back" for s in clause.spots if s.mark is Mark.REPAIR]
    if ailing:
        doubts.append(f"“{ailing}” was said as well as normal")
    doubts += _which_side(clause, side)
    if state_said == "not_examined" and place.subsite is not None:
        doubts.append(f"only the {place.subsite} was said not to be examined")
    return MarkRegion(
        region=region,
        state=state_said,
        side=side,
        reason=_reason(sentence, clause),
        doubt="; ".join(doubts) or None,
    )


def _which_side(clause: Clause, side: str | None) -> list[str]:
    """ "Contralateral neck clear": one side, and it does not say which."""
    pointing = ("other side", "same side")
    return [
        f"“{' '.join(spot.said)}”: which side?"
        for spot in clause.spots
        if side is None and any(p.slot is Slot.CARRY and p.value in pointing for p in spot.phrases)
    ]


def _of_attribute(sentence: Sentence, clause: Clause) -> bool:
    """ "Tongue colour normal", "normal in size": one thing about the region, not all of it."""
    assert clause.anchor is not None
    before = sentence.words[: clause.anchor.start]
    after = [word for word in sentence.words[clause.anchor.end :] if word not in ("in", "for")]
    beside = set(after[:1]) if clause.anchor.end not in sentence.pauses else set()
    if clause.anchor.start not in sentence.pauses:
        beside |= set(before[-1:])
    return bool(beside & _ATTRIBUTES)


def _ailing(clause: Clause) -> str:
    """Words of a "normal" clause that do not describe health."""
    for spot in clause.spots:
        slot = spot.slot
        told = slot in DESCRIBING - {Slot.NOTE} or slot is Slot.SYMPTOM or spot.size is not None
        absent = spot.negated or (spot.phrase is not None and spot.phrase.negated)
        if told and not absent and not (spot.phrase and is_healthy(slot, spot.phrase.value)):
            return " ".join(spot.said)
    return ""


def _resembled(place: Place) -> list[str]:
    return [
        f"heard as something like “{spot.phrase.text}”"
        for spot in place.spots
        if spot.phrase is not None and (spot.likely is not None or spot.phrase.misheard)
    ]


def _one_side(side: str | None) -> str | None:
    """Both sides are the whole region, which is said by None."""
    return side if side in ("left", "right") else None


def _state(clause: Clause) -> RegionState:
    assert isinstance(clause.anchor, Spot)
    assert clause.anchor.phrase is not None
    phrase = clause.anchor.phrase
    if phrase.slot is Slot.NOT_EXAMINED:
        return "not_examined"
    if phrase.slot is Slot.EXAMINED:
        return "palpated" if phrase.value == "palpated" else "inspected"
    excepted = any(spot.mark is Mark.EXCEPT for spot in clause.spots)
    partly = any(_REST.intersection(spot.said) for spot in clause.spots)
    return "inspected" if excepted or partly else "normal"


def _reason(sentence: Sentence, clause: Clause) -> str | None:
    if _state(clause) != "not_examined":
        return None
    reasons = [
        str(spot.phrase.value)
        for spot in clause.spots
        if spot.phrase is not None and spot.phrase.slot is Slot.NOT_EXAMINED
    ]
    known = [reason for reason in reasons if reason != _NO_REASON]
    if known:
        return known[0]
    words = [" ".join(sentence.said(s)) for s in clause.spots if s.mark is Mark.UNKNOWN]
    return " ".join(words) or None
