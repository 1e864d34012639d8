"""Words that point back: whether they speak of the finding before, and what they take of it."""

from __future__ import annotations

from dictate.exam.finding import FindingFields
from dictate.matching.clause import Clause
from dictate.matching.draft import Draft
from dictate.matching.naming import PLAIN
from dictate.matching.negation import DESCRIBING, Sentence
from dictate.matching.place import Place
from dictate.matching.placing import Here
from dictate.matching.spots import Mark, Spot

_LONG = 5 * 365
"""Days from which a time said by itself is asked about. source: common practice, no source"""
_OF_LESIONS = frozenset({"mobility", "attachment", "wipes_off", "size_mm", "borders"})
_LASTING = frozenset({"been", "present", "there", "had", "noticed", "history", "duration", "it"})
GENERIC = "lesion"
"""The kind that any finding may be called by."""
_ADDED_TO = frozenset(
    {"colours", "surface", "borders", "consistency", "count", "symptoms", "denied_symptoms", "note"}
)
"""Fields to which more may be said without contradiction."""


def speaks_of_last(
    sentence: Sentence,
    clause: Clause,
    draft: Draft,
    place: Place | None,
    here: Here,
    carry: set[str],
) -> bool:
    """True for "the ulcer is tender", where an ulcer is the finding before."""
    last = here.last
    across = place is not None and place.only_side and _across(place)
    if last is None or not (at_last(place, here) or across) or "another" in carry:
        return False
    kind = draft.get("kind")
    if draft.get("normal_variant") not in (None, last.normal_variant):
        return False
    if last.normal_variant is not None and kind not in (None, GENERIC, *PLAIN):
        return False  # "An ulcer on it", where it is a torus: another lesion.
    pointed = "it" in carry or definite(sentence, clause)
    return pointed and (kind == last.kind or kind == GENERIC or last.kind in (None, GENERIC))


def _across(place: Place) -> bool:
    """True for "crosses the midline", which a finding on one side may do."""
    return any(spot.phrase is not None and spot.phrase.vague for spot in place.spots)


def of_something_else(sentence: Sentence, clause: Clause, draft: Draft) -> bool:
    """ "Soft food for three days": every description belongs to a word that is none of ours."""
    if not draft.unknown or clause.places:
        return False
    described = [
        index
        for index, item in enumerate(clause.items)
        if isinstance(item, Spot) and item.slot in DESCRIBING
    ]
    return bool(described) and all(_before_unknown(sentence, clause, index) for index in described)


def _before_unknown(sentence: Sentence, clause: Clause, index: int) -> bool:
    after = clause.items[index + 1] if index + 1 < len(clause.items) else None
    if not isinstance(after, Spot) or after.mark is not Mark.UNKNOWN:
        return False
    return after.start not in sentence.pauses


def only_of_lesions(draft: Draft) -> bool:
    """True if all that is said can be said of a lesion only ("fixed, mobile", "sessile")."""
    return bool(draft.details()) and set(draft.details()) <= _OF_LESIONS


def long_ago(sentence: Sentence, clause: Clause, draft: Draft) -> None:
    """ "For thirty years", by itself: of the finding before, or of what the patient tells?"""
    days = draft.get("duration_days")
    if not isinstance(days, int) or days < _LONG or _LASTING.intersection(sentence.words):
        return
    if all(isinstance(item, Spot) and item.duration is not None for item in clause.items):
        draft.doubt("duration_days", "is it of the finding before?")


def copy_last(draft: Draft, last: FindingFields | None, *, whole: bool) -> None:
    """ "Another one": its kind; "the same again": all but its place, and asked about."""
    if last is None:
        draft.doubt("kind", "it points back, but no finding is before it")
        return
    names = ("kind", "normal_variant")
    more = ("colours", "surface", "borders", "consistency", "size_mm") if whole else ()
    for name in (*names, *more):
        value = getattr(last, name)
        if value in (None, ()) or draft.get(name) is not None:
            continue
        draft.values[name] = list(value) if isinstance(value, tuple) else value
        if name == "size_mm":
            draft.doubt(name, "the size was not said: that of the finding before")


def same_size(draft: Draft, here: Here) -> None:
    """ "Papule on the left, same size": that of the finding before, asked if it was long ago."""
    last = here.last
    if draft.get("size_mm") is not None:
        return
    if last is None or not last.size_mm:
        draft.doubt("size_mm", "“same size” was said, but no size before it")
        return
    draft.values["size_mm"] = list(last.size_mm)
    if not here.last_in_breath:
        draft.doubt("size_mm", "“same size” was said: that of the finding before")


def at_last(place: Place | None, here: Here) -> bool:
    """True if the place said, if any, can be that of the finding before."""
    last = here.last
    if last is None:
        return False
    if place is None:
        return True
    return all(
        said is None or held is None or said == held
        for said, held in (
            (place.region, last.region),
            (place.subsite, last.subsite),
            (place.side, last.side),
        )
    )


def moved_on(place: Place | None, here: Here) -> bool:
    """True if the examination has left the region of the finding before."""
    if here.last is None or here.last_in_breath:
        return False
    said = place.region if place is not None and place.region else here.region
    return said is not None and here.last.region is not None and said != here.last.region


def completes_last(place: Place, here: Here) -> bool:
    """True if the place says what the finding before lacks, and contradicts nothing."""
    last = here.last
    if last is None or not at_last(place, here) or moved_on(place, here):
        return False
    lacks = (
        (place.region is not None and last.region is None)
        or (place.subsite is not None and last.subsite is None)
        or (place.side is not None and last.side is None)
    )
    return lacks and (place.region is None or last.region in (None, place.region))


def definite(sentence: Sentence, clause: Clause) -> bool:
    """True if "the" or "this" stands before the lesion, over its adjectives."""
    assert clause.anchor is not None
    for index in reversed(range(clause.items[0].start, clause.anchor.start)):
        word = sentence.words[index]
        if any(place.start <= index < place.end for place in clause.places):
            return False
        if word in ("the", "this", "that", "these", "those"):
            return True
        if word in ("a", "an", "another", "of", "on", "in"):
            return False
    return False


def compare(draft: Draft, name: str, value: object, last: FindingFields) -> None:
    """Doubt a detail that contradicts what the finding already says."""
    held = getattr(last, name, None)
    if held in (None, ()) or name in _ADDED_TO:
        return
    before = list(held) if isinstance(held, tuple) else held
    if before != value:
        draft.doubt(name, f"it was {_shown(before)} before")
        draft.offer(name, before, 100.0)


def _shown(value: object) -> str:
    if isinstance(value, list):
        return " by ".join(f"{each:g}" for each in value)
    return "said to be absent" if value is False else "said" if value is True else str(value)
