"""Clauses become outcomes: findings, details of the finding before, marks of regions."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

from dictate.exam.commands import GoTo, MarkRegion
from dictate.exam.finding import FindingFields
from dictate.matching.anchors import STATEMENTS
from dictate.matching.clause import Clause
from dictate.matching.clauses import cut
from dictate.matching.describing import Describer
from dictate.matching.draft import Draft
from dictate.matching.gazetteer import Gazetteer
from dictate.matching.health import LUMPS, PALPABLE, is_healthy
from dictate.matching.items import is_lesion
from dictate.matching.negation import DESCRIBING, Sentence
from dictate.matching.places import Place, Places
from dictate.matching.placing import Here, Placing, put_said
from dictate.matching.regions import state
from dictate.matching.sites import shared, sites
from dictate.matching.spots import Mark, Spot
from dictate.matching.thresholds import SURE_LESION, SURE_PLACE
from dictate.vocabulary.schema import Lexicon, Phrase, Slot

_GENERIC = "lesion"


@dataclass(slots=True)
class Outcome:
    """What one clause amounts to."""

    what: Literal["finding", "detail", "mark", "go", "aside"]
    draft: Draft | None = None
    command: MarkRegion | GoTo | None = None
    place: Place | None = None
    why: str = ""


class Assembler:
    """Makes outcomes of sentences, with the regions and variants of a lexicon."""

    def __init__(self, lexicon: Lexicon) -> None:
        self._gazetteer = Gazetteer(lexicon)
        self._places = Places(self._gazetteer)
        self._describer = Describer(lexicon)
        self._placing = Placing(lexicon, self._gazetteer)

    def outcomes(self, sentence: Sentence, here: Here) -> list[Outcome]:
        """The outcomes of a sentence, clause by clause."""
        items = self._places.gather(sentence, here.region)
        clauses = cut(sentence, items)
        alone = not any(is_lesion(item) for item in items)
        found: list[Outcome] = []
        for clause in shared(clauses):
            made = self._clause(sentence, clause, here, alone=alone)
            found += made
            here = _after(here, made)
        return found

    def value(self, sentence: Sentence) -> Draft:
        """What words say as the value of a field: no place or lesion is asked of them."""
        draft = Draft()
        for clause in cut(sentence, self._places.gather(sentence, None)):
            self._describer.describe(sentence, clause, draft)
            for place in sites(clause, self._gazetteer)[0]:
                put_said(draft, place)
        return draft

    def _clause(
        self, sentence: Sentence, clause: Clause, here: Here, *, alone: bool
    ) -> list[Outcome]:
        anchor = clause.anchor
        if isinstance(anchor, Spot) and anchor.slot in STATEMENTS:
            said = state(sentence, clause, here, self._gazetteer, alone=alone)
            if not said.marks:
                return [Outcome("aside", why=said.why)]
            pairs = zip(said.marks, said.places, strict=True)
            return [Outcome("mark", command=mark, place=place) for mark, place in pairs]
        places, landmarks = sites(clause, self._gazetteer)
        made = [self._lesion(sentence, clause, place, here) for place in (places or (None,))]
        if len(made) > 1 and not _plural(clause):
            for outcome in made:
                if outcome.draft is not None:
                    outcome.draft.doubt("region", "one lesion was named, but several places")
        for outcome in made:
            if outcome.draft is not None:
                for landmark in landmarks:
                    outcome.draft.notes.append(_with_landmark(sentence, clause, landmark))
        return made

    def _lesion(
        self, sentence: Sentence, clause: Clause, place: Place | None, here: Here
    ) -> Outcome:
        draft = Draft()
        self._describer.describe(sentence, clause, draft)
        carry = _carry(clause)
        if clause.anchor is None:
            return self._without_lesion(clause, draft, place, here, carry)
        phrase = _phrase(clause.anchor)
        if carry & {"another", "same kind"} and phrase is None:
            _copy(draft, here.last, whole="same kind" in carry)
        if self._speaks_of_last(sentence, clause, draft, place, here, carry):
            return self._detail(draft, place, here)
        if _hearsay(clause):
            return Outcome("aside", draft, why="it only sounds a little like a finding")
        self._placing.put(draft, place, phrase, here, carry)
        if clause.unclear:
            for name in ("region", "side"):
                draft.doubt(name, "which place belongs to which finding was not clear")
        return Outcome("finding", draft, place=place)

    def _without_lesion(
        self,
        clause: Clause,
        draft: Draft,
        place: Place | None,
        here: Here,
        carry: set[str],
    ) -> Outcome:
        """A clause that names no lesion: a place, details, or health."""
        details = set(draft.details())
        absent = any(spot.negated and spot.slot is Slot.KIND for spot in clause.spots)
        kind = self._gazetteer.kind_of(place.region) if place is not None else None
        if kind is not None and details:
            draft.put("kind", kind)
            self._placing.put(draft, place, None, here, carry)
            return Outcome("finding", draft, place=place)
        if not details and not absent and not draft.doubts:
            if place is not None and draft.notes and not draft.unknown:
                draft.doubt("kind", "no lesion was named")
                self._placing.put(draft, place, None, here, carry)
                return Outcome("finding", draft, place=place)
            return self._place_alone(clause, place, draft, here)
        at_last = _at_last(place, here)
        if details and not any(spot.likely is None for spot in draft.spots()):
            return Outcome("aside", draft, why="it only sounds a little like a description")
        if (details or draft.doubts) and at_last and not _moved_on(place, here):
            return self._detail(draft, place, here)
        if _healthy(draft) and (absent or details - {"denied_symptoms"}):
            return _mark_healthy(clause, draft, place, here)
        if (place is None or place.only_side) and (
            here.region is None or here.last is None or details <= {"denied_symptoms"}
        ):
            return Outcome("aside", draft, why="it names no lesion and no place")
        draft.doubt("kind", "no lesion was named")
        self._placing.put(draft, place, None, here, carry)
        return Outcome("finding", draft, place=place)

    def _place_alone(
        self, clause: Clause, place: Place | None, draft: Draft, here: Here
    ) -> Outcome:
        if place is not None and any(spot.score < SURE_PLACE for spot in place.spots):
            return Outcome("aside", draft, why="it only sounds a little like a place")
        if place is None:
            return Outcome("aside", draft, why="nothing in it is for the record")
        if _completes(place, here):
            return self._detail(draft, place, here)
        if place.region is None:
            return Outcome("aside", draft, place=place, why="a side alone is no finding")
        marked = any(s.mark not in (None, Mark.FUNCTION, Mark.LANDMARK) for s in clause.spots)
        if draft.unknown or marked:
            return Outcome("aside", draft, why="what was said of the place was not understood")
        return Outcome("go", draft, GoTo(region=place.region), place)

    def _detail(self, draft: Draft, place: Place | None, here: Here) -> Outcome:
        """More about the finding before: only what is said, doubted where it is at odds."""
        if place is not None:
            put_said(draft, place)
        last = here.last
        if draft.get("kind") in (_GENERIC, last.kind if last is not None else _GENERIC):
            for name in ("kind", "count"):
                draft.values.pop(name, None)
        if last is not None:
            for name, value in list(draft.values.items()):
                _compare(draft, name, value, last)
        return Outcome("detail", draft, place=place)

    def _speaks_of_last(
        self,
        sentence: Sentence,
        clause: Clause,
        draft: Draft,
        place: Place | None,
        here: Here,
        carry: set[str],
    ) -> bool:
        """True for "the ulcer is tender", where an ulcer is the finding before."""
        last = here.last
        if last is None or not _at_last(place, here) or "another" in carry:
            return False
        kind = draft.get("kind")
        pointed = "it" in carry or _definite(sentence, clause)
        return pointed and (kind == last.kind or kind == _GENERIC or last.kind in (None, _GENERIC))


def _after(here: Here, made: Sequence[Outcome]) -> Here:
    for outcome in made:
        if outcome.what == "finding" and outcome.draft is not None:
            here = replace(here, last=outcome.draft.fields(), last_in_breath=True)
    return here


def _phrase(anchor: object) -> Phrase | None:
    if isinstance(anchor, Spot) and anchor.slot in (Slot.KIND, Slot.NORMAL_VARIANT):
        return anchor.phrase
    return None


def _with_landmark(sentence: Sentence, clause: Clause, landmark: Place) -> str:
    """The words of a landmark with what leads to it ("behind the last molar")."""
    leads = [s.start for s in clause.spots if s.mark is Mark.LANDMARK and s.start < landmark.start]
    return " ".join(sentence.words[max(leads, default=landmark.start) : landmark.end])


def _plural(clause: Clause) -> bool:
    phrase = _phrase(clause.anchor)
    return phrase is None or phrase.plural or phrase.slot is Slot.NORMAL_VARIANT


def _hearsay(clause: Clause) -> bool:
    """True if the lesion's name is only likely, and nothing plainly said speaks for it."""
    anchor = clause.anchor
    if not isinstance(anchor, Spot) or anchor.likely is None or anchor.score >= SURE_LESION:
        return False
    return not any(_plain(spot) for spot in _all_spots(clause))


def _all_spots(clause: Clause) -> list[Spot]:
    return [*clause.spots, *(spot for place in clause.places for spot in place.spots)]


def _plain(spot: Spot) -> bool:
    """True if the spot speaks for a finding in plain words."""
    if spot.size is not None:
        return spot.size.unit_said
    telling = DESCRIBING | {Slot.REGION, Slot.SUBSITE, Slot.SYMPTOM} - {Slot.NOTE}
    return spot.likely is None and spot.slot in telling


def _carry(clause: Clause) -> set[str]:
    return {
        str(phrase.value)
        for spot in clause.spots
        for phrase in spot.phrases
        if phrase.slot is Slot.CARRY
    }


def _copy(draft: Draft, last: FindingFields | None, *, whole: bool) -> None:
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


def _at_last(place: Place | None, here: Here) -> bool:
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


def _moved_on(place: Place | None, here: Here) -> bool:
    """True if the examination has left the region of the finding before."""
    if here.last is None or here.last_in_breath:
        return False
    said = place.region if place is not None and place.region else here.region
    return said is not None and here.last.region is not None and said != here.last.region


def _completes(place: Place, here: Here) -> bool:
    """True if the place says what the finding before lacks, and contradicts nothing."""
    last = here.last
    if last is None or not _at_last(place, here) or _moved_on(place, here):
        return False
    lacks = (
        (place.region is not None and last.region is None)
        or (place.subsite is not None and last.subsite is None)
        or (place.side is not None and last.side is None)
    )
    return lacks and (place.region is None or last.region in (None, place.region))


def _definite(sentence: Sentence, clause: Clause) -> bool:
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


def _healthy(draft: Draft) -> bool:
    """True if nothing but health is described."""
    for name, value in draft.details().items():
        if name == "denied_symptoms":
            continue
        held = value if isinstance(value, list) else [value]
        if not all(is_healthy(name, each) for each in held):
            return False
    return not draft.doubts


def _mark_healthy(clause: Clause, draft: Draft, place: Place | None, here: Here) -> Outcome:
    region = place.region if place is not None and place.region else here.region
    if region is None:
        return Outcome("aside", draft, why="it names no lesion and no place")
    absent = {spot.phrase.value for spot in clause.spots if spot.negated and spot.phrase}
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


def _compare(draft: Draft, name: str, value: object, last: FindingFields) -> None:
    """Doubt a detail that contradicts what the finding already says."""
    held = getattr(last, name, None)
    if held in (None, ()) or name in ("colours", "surface", "borders", "consistency", "count"):
        return
    if name in ("symptoms", "denied_symptoms", "note"):
        return
    before = list(held) if isinstance(held, tuple) else held
    if before != value:
        draft.doubt(name, f"it was {_shown(before)} before")
        draft.offer(name, before, 100.0)


def _shown(value: object) -> str:
    if isinstance(value, list):
        return " by ".join(f"{each:g}" for each in value)
    return "said to be absent" if value is False else "said" if value is True else str(value)
