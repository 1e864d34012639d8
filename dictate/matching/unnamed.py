"""Clauses that name no lesion: a place, details of the finding before, health."""

from __future__ import annotations

from dictate.exam.commands import GoTo
from dictate.exam.finding import BOTH, FindingFields
from dictate.matching.cautions import measures_else
from dictate.matching.clause import Clause
from dictate.matching.draft import NO_LESION, Draft
from dictate.matching.gazetteer import Gazetteer
from dictate.matching.health import is_health, mark_healthy, notes_ail, notes_deny, only_works
from dictate.matching.items import LESIONS, Item, is_denied, is_lesion
from dictate.matching.naming import PLAIN
from dictate.matching.negation import Sentence
from dictate.matching.outcome import Outcome
from dictate.matching.place import Place
from dictate.matching.placing import Here, Placing, put_said
from dictate.matching.pointing import (
    GENERIC,
    at_last,
    compare,
    completes_last,
    copy_last,
    long_ago,
    moved_on,
    of_something_else,
    only_of_lesions,
)
from dictate.matching.putting_right import put_right, puts_right
from dictate.matching.spots import Mark
from dictate.matching.thresholds import SURE_PLACE
from dictate.matching.wording import says_nodes

_STABLE = "stable"


class Unnamed:
    """Reads such clauses with the regions of a lexicon."""

    def __init__(self, gazetteer: Gazetteer, placing: Placing) -> None:
        self._gazetteer = gazetteer
        self._placing = placing

    def read(
        self,
        sentence: Sentence,
        clause: Clause,
        draft: Draft,
        place: Place | None,
        here: Here,
        carry: set[str],
    ) -> Outcome:
        """What the clause amounts to: a place, details, or health."""
        details = set(draft.details())
        absent = any(spot.negated and spot.slot in LESIONS for spot in clause.spots)
        denied = any(
            is_lesion(item) and is_denied(clause.items, index)
            for index, item in enumerate(clause.items)
        )
        if denied and place is not None and not details:
            return mark_healthy(clause, draft, place, here)
        kind = self._gazetteer.kind_of(place.region) if place is not None else None
        if kind is not None and details:
            draft.put("kind", kind)
            self._placing.put(draft, place, None, here, carry)
            return Outcome("finding", draft, place=place)
        pointed = "it" in carry and here.last is not None and place is not None and place.only_side
        if pointed and not draft.unknown and not moved_on(place, here):
            return detail(draft, place, here)
        last = here.last
        if last is not None and place is not None and puts_right(clause, place, here):
            return detail(draft, put_right(place, clause, last, self._gazetteer), here)
        if not details and not absent and not draft.doubts:
            if only_works(clause) and not draft.unknown:
                return mark_healthy(clause, draft, place, here)
            if place is not None and notes_deny(clause) and not draft.unknown:
                return mark_healthy(clause, draft, place, here)
            if place is not None and draft.notes and not draft.unknown:
                return self._finding(draft, place, here, carry)
            return self._place_alone(clause, place, draft, here)
        if details and not any(spot.likely is None for spot in draft.spots()):
            return Outcome("aside", draft, why="it only sounds a little like a description")
        if "other side" in carry and details and _sided(here.last):
            return self._across_from_last(clause, draft, place, here, carry)
        alone = set(details) <= {"size_mm"} and measures_else(sentence)
        nowhere = place is None or place.only_side
        of_tooth = nowhere and details <= {"duration_days"} and _names_tooth(clause)
        if of_something_else(sentence, clause, draft) or (alone and place is None) or of_tooth:
            return Outcome("aside", draft, why="it describes something else")
        if (details or draft.doubts) and at_last(place, here) and not moved_on(place, here):
            long_ago(sentence, clause, draft)
            if "same size" in carry and draft.get("change") is None and _sized_last(here):
                draft.put("change", _STABLE)
            return detail(draft, place, here)
        if place is None and only_of_lesions(draft) and here.last is not None:
            outcome = detail(draft, place, here)
            for name in draft.details():
                draft.doubt(name, "of the finding before? Another region is in hand")
            return outcome
        well = is_health(draft) and not notes_ail(clause)
        if well and (absent or details - {"denied_symptoms"}):
            return mark_healthy(clause, draft, place, here)
        if nowhere and (here.region is None or here.last is None or details <= {"denied_symptoms"}):
            return Outcome("aside", draft, why="it names no lesion and no place")
        return self._finding(draft, place, here, carry)

    def _finding(self, draft: Draft, place: Place | None, here: Here, carry: set[str]) -> Outcome:
        """Something is there: what it is, is asked."""
        named = self._gazetteer.failing(place.subsite if place else None, draft.get("change"))
        if named is not None:
            draft.put("kind", named)
            draft.values.pop("change")
        else:
            draft.doubt("kind", NO_LESION)
        self._placing.put(draft, place, None, here, carry)
        return Outcome("finding", draft, place=place)

    def _across_from_last(
        self,
        clause: Clause,
        draft: Draft,
        place: Place | None,
        here: Here,
        carry: set[str],
    ) -> Outcome:
        """ "And on the other side, four millimetres": most likely a second one like the last."""
        copy_last(draft, here.last, whole=False)
        found = self._finding(draft, place, here, carry)
        if any(spot.mark is Mark.LANDMARK for spot in clause.spots):
            draft.doubt("size_mm", "of another one, or how far the last one goes?")
        return found

    def _place_alone(
        self, clause: Clause, place: Place | None, draft: Draft, here: Here
    ) -> Outcome:
        if place is not None and any(spot.score < SURE_PLACE for spot in place.spots):
            return Outcome("aside", draft, why="it only sounds a little like a place")
        if place is None:
            return Outcome("aside", draft, why="nothing in it is for the record")
        leads = (spot.start for spot in clause.spots if spot.mark is Mark.LANDMARK)
        if any(start < place.start for start in leads):
            return _beside_last(clause, draft, here)
        if completes_last(place, here):
            return detail(draft, place, here)
        kind = self._gazetteer.kind_of(place.region)
        if kind is not None and place.level and place.side and says_nodes(clause):
            draft.put("kind", kind)
            draft.doubt("kind", "is it a finding, or only a place?")
            self._placing.put(draft, place, None, here, set())
            return Outcome("finding", draft, place=place)
        if place.region is None:
            return Outcome("aside", draft, place=place, why="a side alone is no finding")
        marked = any(s.mark not in (None, Mark.FUNCTION, Mark.LANDMARK) for s in clause.spots)
        if draft.unknown or marked:
            return Outcome("aside", draft, why="what was said of the place was not understood")
        return Outcome("go", draft, GoTo(region=place.region), place)


def _sized_last(here: Here) -> bool:
    return here.last is not None and bool(here.last.size_mm)


def detail(draft: Draft, place: Place | None, here: Here) -> Outcome:
    """More about the finding before: only what is said, doubted where it is at odds."""
    if place is not None:
        put_said(draft, place)
    last = here.last
    if last is not None and place is not None and not here.last_in_breath:
        other = place.subsite is not None and last.subsite is None and place.names_region
        if other and place.region == last.region:
            draft.doubt("subsite", "is this of the finding before?")
    named = last.kind if last is not None else GENERIC
    variant = last is not None and last.normal_variant is not None
    if draft.get("kind") in (GENERIC, named, *(PLAIN if variant else ())):
        for name in ("kind", "count"):
            draft.values.pop(name, None)
    if last is not None:
        for name, value in list(draft.values.items()):
            compare(draft, name, value, last)
    if not any(value not in (None, []) for value in draft.values.values()) and not draft.doubts:
        return Outcome("aside", draft, why="it says nothing new of the finding before")
    return Outcome("detail", draft, place=place)


def _beside_last(clause: Clause, draft: Draft, here: Here) -> Outcome:
    """ "It extends onto the floor of the mouth": a remark on the finding before, and no step."""
    if here.last is None:
        return Outcome("aside", draft, why="it says where something lies, but not what")
    said = [word for item in clause.items for word in _words_of(item)]
    draft.notes.append(" ".join(said))
    return Outcome("detail", draft)


def _names_tooth(clause: Clause) -> bool:
    """ "She had that tooth out on the right last year": of the tooth."""
    return any(spot.mark is Mark.TOOTH for spot in clause.spots)


def _words_of(item: Item) -> tuple[str, ...]:
    spots = item.spots if isinstance(item, Place) else (item,)
    return tuple(word for spot in spots for word in spot.said)


def _sided(last: FindingFields | None) -> bool:
    return last is not None and last.side in BOTH
