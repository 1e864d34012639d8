"""What a clause speaks of, told from its words alone."""

from __future__ import annotations

from dictate.matching.clause import Clause
from dictate.matching.draft import Draft
from dictate.matching.forms import Words
from dictate.matching.negation import DESCRIBING
from dictate.matching.place import SITES, Place
from dictate.matching.spots import Mark, Spot
from dictate.matching.thresholds import SURE_LESION
from dictate.vocabulary.schema import Phrase, Slot

_OUTER = frozenset({"skin", "outside", "outer", "facial", "external", "externally"})
_INNER = frozenset({"inside", "inner"})
_DOUBLED = (
    ("buccal mucosa", "face", _OUTER, "the skin or the lining?"),
    ("lips", "labial mucosa", _INNER, "the lip or its lining?"),
)
"""A region, the one that lies on its other side, words that speak for that one, the question."""
_CHEEK = frozenset({"cheek", "cheeks"})
_SPEAKING = 2
"""How many plain descriptions speak for a lesion's name that is only likely, without a place."""


def skin_or_lining(clause: Clause, draft: Draft, in_hand: str | None, words: Words) -> None:
    """ "Skin lesion, right cheek": the cheek is named as its lining is, and skin was said.

    Said while the face is in hand, a mere "cheek" may be the skin as well. `words` are those of
    the sentence.
    """
    bare = any(_CHEEK.intersection(s.said) for place in clause.places for s in place.spots)
    if in_hand == "face" and bare and draft.get("region") == "buccal mucosa":
        draft.doubt("region", "“cheek” was said at the face: the skin or the lining?")
        draft.offer("region", "face", 100.0)
    within = {word for place in clause.places for word in _unnamed_within(place, words)}
    for region, other, speaking, question in _DOUBLED:
        told = [" ".join(s.said) for s in clause.spots if speaking & {*s.said} and _by_itself(s)]
        told += sorted(speaking & within)
        if told and draft.get("region") == region:
            draft.doubt("region", f"“{told[0]}” was said: {question}")
            draft.offer("region", other, 100.0)


def _unnamed_within(place: Place, words: Words) -> list[str]:
    """Words that stand between those which name a place ("lower lip inside, right")."""
    named = {index for spot in place.spots for index in range(spot.start, spot.end)}
    return [words[index] for index in range(place.start, place.end) if index not in named]


def _by_itself(spot: Spot) -> bool:
    return spot.slot in (None, Slot.FILLER)


def phrase_of(anchor: object) -> Phrase | None:
    """The phrase that names the lesion, if the clause has one."""
    if isinstance(anchor, Spot) and anchor.slot in (Slot.KIND, Slot.NORMAL_VARIANT):
        return anchor.phrase
    return None


def plural(clause: Clause) -> bool:
    """True if the lesion may be more than one."""
    phrase = phrase_of(clause.anchor)
    return phrase is None or phrase.plural or phrase.slot is Slot.NORMAL_VARIANT


def hearsay(clause: Clause) -> bool:
    """True if the lesion's name is only likely, and nothing plainly said speaks for it."""
    anchor = clause.anchor
    if not isinstance(anchor, Spot) or anchor.likely is None or anchor.score >= SURE_LESION:
        return False
    spots = [spot for spot in _all_spots(clause) if _plain(spot)]
    unknown = any(spot.mark is Mark.UNKNOWN for spot in clause.spots)
    placed = any(spot.slot in SITES or (spot.size and not unknown) for spot in spots)
    return not placed and len(spots) < _SPEAKING


def _all_spots(clause: Clause) -> list[Spot]:
    return [*clause.spots, *(spot for place in clause.places for spot in place.spots)]


def _plain(spot: Spot) -> bool:
    """True if the spot speaks for a finding in plain words."""
    if spot.size is not None:
        return spot.size.unit_said
    telling = DESCRIBING | {Slot.REGION, Slot.SUBSITE, Slot.SYMPTOM} - {Slot.NOTE}
    return spot.likely is None and spot.slot in telling


def says_nodes(clause: Clause) -> bool:
    """ "Nodes at level two on the left" says more than "level two, left"."""
    said = {word for place in clause.places for spot in place.spots for word in spot.said}
    return bool(said & {"nodes", "node"})


def carried(clause: Clause) -> set[str]:
    """What the clause points back with ("another", "same site")."""
    return {
        str(phrase.value)
        for spot in clause.spots
        for phrase in spot.phrases
        if phrase.slot is Slot.CARRY
    }
