"""What the words of a statement about a region say: how well, why not, what speaks against."""

from __future__ import annotations

from dictate.exam.commands import RegionState
from dictate.matching.clause import Clause
from dictate.matching.grammar import word_set
from dictate.matching.health import is_healthy
from dictate.matching.negation import DESCRIBING, Sentence
from dictate.matching.place import Place
from dictate.matching.spots import Mark, Spot
from dictate.matching.unseen import NO_REASON
from dictate.vocabulary.schema import Slot

REST = frozenset({"rest", "remainder", "remaining"})
"""Words for a region but for a part of it: the region as a whole is not pronounced normal."""
_NODES = "lymph nodes"
_LATER = (("come", "back", "to"), ("get", "back", "to"), ("go", "back", "to"), ("return", "to"))
_COVERING = word_set("""
    dressing dressings bandage bandages plaster tape taped gauze pack packing tube cannula drain
    sutures stitches graft splint stent
    """)
"""What lies over a part, for which another is not examined."""
_SIGN_OF: dict[object, str] = {"trismus": "limited mouth opening"}
"""Symptoms that are a reason where a region was not examined."""
_ATTRIBUTES = word_set("""
    colour size texture mobility movement movements function sensation shape position surface
    consistency contour tone symmetry opening range appearance border borders edge edges margin
    margins base outline
    """)


def which_side(clause: Clause, side: str | None) -> list[str]:
    """ "Contralateral neck clear": one side, and it does not say which."""
    pointing = ("other side", "same side")
    return [
        f"“{' '.join(spot.said)}”: which side?"
        for spot in clause.spots
        if side is None and any(p.slot is Slot.CARRY and p.value in pointing for p in spot.phrases)
    ]


def not_understood(clause: Clause) -> list[str]:
    """ "Cheek, zarfices, otherwise normal": what was not understood may be no health."""
    unknown = [" ".join(s.said) for s in clause.spots if s.mark is Mark.UNKNOWN]
    return [f"“{unknown[0]}” was not understood"] if unknown else []


def of_attribute(sentence: Sentence, clause: Clause) -> bool:
    """ "Tongue colour normal", "normal in size": one thing about the region, not all of it."""
    assert clause.anchor is not None
    before = sentence.words[: clause.anchor.start]
    after = [word for word in sentence.words[clause.anchor.end :] if word not in ("in", "for")]
    beside = set(after[:1]) if clause.anchor.end not in sentence.pauses else set()
    if clause.anchor.start not in sentence.pauses:
        beside |= set(before[-1:])
    return bool(beside & _ATTRIBUTES)


def ailing(clause: Clause) -> str:
    """Words of a "normal" clause that do not describe health."""
    for spot in clause.spots:
        slot = spot.slot
        told = slot in DESCRIBING - {Slot.NOTE} or slot is Slot.SYMPTOM or spot.size is not None
        absent = spot.negated or (spot.phrase is not None and spot.phrase.negated)
        if told and not absent and not (spot.phrase and is_healthy(slot, spot.phrase.value)):
            return " ".join(spot.said)
    return ""


def resembled(place: Place) -> list[str]:
    return [
        f"heard as something like “{spot.phrase.text}”"
        for spot in place.spots
        if spot.phrase is not None and (spot.likely is not None or spot.phrase.misheard)
    ]


def said_state(clause: Clause) -> RegionState:
    assert isinstance(clause.anchor, Spot)
    assert clause.anchor.phrase is not None
    phrase = clause.anchor.phrase
    if phrase.slot is Slot.NOT_EXAMINED:
        return "not_examined"
    if phrase.slot is Slot.EXAMINED:
        return "palpated" if phrase.value == "palpated" else "inspected"
    excepted = any(spot.mark is Mark.EXCEPT for spot in clause.spots)
    partly = any(REST.intersection(spot.said) for spot in clause.spots)
    return "inspected" if excepted or partly else "normal"


def none_there(clause: Clause, region: str) -> RegionState:
    """ "Ulcer on the left, none on the right": no ulcer, which is not all of health."""
    assert isinstance(clause.anchor, Spot)
    if clause.anchor.said == ("none",) and region != _NODES:
        return "inspected"
    return said_state(clause)


def without_covered(
    sentence: Sentence, anchor: Spot, places: tuple[Place, ...]
) -> tuple[Place, ...]:
    """ "Dressing over the left cheek, so I did not look at the face": the face was left out."""
    kept = tuple(p for p in places if not _put_off(sentence, p))
    if anchor.slot is Slot.NOT_EXAMINED:
        kept = tuple(p for p in kept if not _covered(sentence, anchor, p))
    return kept or places


def _put_off(sentence: Sentence, place: Place) -> bool:
    """ "I will come back to the right": of that nothing is said yet."""
    begins = sentence.begins(place.start)
    before = sentence.words[begins : place.start]
    return any(before[at : at + len(run)] == run for run in _LATER for at in range(len(before)))


def _covered(sentence: Sentence, anchor: Spot, place: Place) -> bool:
    begins = sentence.begins(place.start)
    before = _COVERING.intersection(sentence.words[begins : place.start])
    apart = any(at in sentence.pauses for at in range(place.end, anchor.start + 1))
    return bool(before) and apart


def reason(sentence: Sentence, clause: Clause) -> str | None:
    if said_state(clause) != "not_examined":
        return None
    reasons = [
        str(spot.phrase.value)
        for spot in clause.spots
        if spot.phrase is not None and spot.phrase.slot is Slot.NOT_EXAMINED
    ]
    known = [reason for reason in reasons if reason != NO_REASON]
    known += [
        str(_SIGN_OF[spot.phrase.value])
        for spot in clause.spots
        if spot.phrase is not None and spot.phrase.value in _SIGN_OF and not spot.negated
    ]
    if known:
        return known[0]
    words = [" ".join(sentence.said(s)) for s in clause.spots if s.mark is Mark.UNKNOWN]
    return " ".join(words) or None
