"""Statements about regions: normal, inspected, palpated, not examined."""

from __future__ import annotations

from dataclasses import dataclass

from dictate.exam.commands import MarkRegion, RegionState
from dictate.matching.clause import Clause
from dictate.matching.gazetteer import Gazetteer
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
_NO_REASON = "no reason given"


@dataclass(frozen=True, slots=True)
class Statement:
    """What a clause says of regions: marks to make, or why none was made."""

    marks: tuple[MarkRegion, ...] = ()
    places: tuple[Place | None, ...] = ()
    """The place that each mark rests on; None when it was carried over."""
    why: str = ""


def state(
    sentence: Sentence, clause: Clause, here: Here, gazetteer: Gazetteer, *, alone: bool
) -> Statement:
    """The marks of a clause about regions.

    `alone` is True if the utterance holds no lesion: only then may the region in hand be meant.
    """
    anchor = clause.anchor
    assert isinstance(anchor, Spot)
    assert anchor.phrase is not None
    words = [word for item in clause.items for word in sentence.words[item.start : item.end]]
    found = listed(clause, gazetteer)
    named = tuple(place for place in found if place.region is not None)
    if not named:
        return _unplaced(sentence, clause, here, words, alone=alone)
    marks = tuple(_mark(sentence, clause, place, gazetteer) for place in named)
    return Statement(marks, named)


def _unplaced(
    sentence: Sentence, clause: Clause, here: Here, words: list[str], *, alone: bool
) -> Statement:
    assert isinstance(clause.anchor, Spot)
    assert clause.anchor.phrase is not None
    implied = dict(clause.anchor.phrase.fills).get(Slot.REGION)
    side = next((place.side for place in clause.places), None)
    if implied is not None:
        mark = MarkRegion(region=str(implied), state=_state(clause), side=_one_side(side))
        return Statement((mark,), (None,))
    if _SWEEPING.intersection(words):
        return Statement(why="it names no region: say which regions are normal, one by one")
    if not alone or here.region is None or _BESIDE.intersection(words):
        return Statement(why="it names no region")
    mark = MarkRegion(
        region=here.region,
        state=_state(clause),
        side=_one_side(side),
        reason=_reason(sentence, clause),
        doubt="no region was said: taken to be the one in hand",
    )
    return Statement((mark,), (None,))


def _mark(sentence: Sentence, clause: Clause, place: Place, gazetteer: Gazetteer) -> MarkRegion:
    region = str(place.region)
    state_said = _state(clause)
    ailing = _ailing(clause) if state_said == "normal" else ""
    if state_said == "normal" and (place.subsite is not None or ailing):
        # A part that is normal says nothing of the rest: silence is not normal.
        state_said = "inspected"
    side = _one_side(place.side) if gazetteer.paired(region, place.subsite) else None
    doubts = [why for name, why in place.doubts if name in ("region", "side")]
    doubts += _resembled(place)
    doubts += [f"“{' '.join(s.said)}”: taken back" for s in clause.spots if s.mark is Mark.REPAIR]
    if ailing:
        doubts.append(f"“{ailing}” was said as well as normal")
    if state_said == "not_examined" and place.subsite is not None:
        doubts.append(f"only the {place.subsite} was said not to be examined")
    return MarkRegion(
        region=region,
        state=state_said,
        side=side,
        reason=_reason(sentence, clause),
        doubt="; ".join(doubts) or None,
    )


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
