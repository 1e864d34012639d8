"""Clauses become outcomes: findings, details of the finding before, marks of regions."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from dictate.exam.commands import GoTo, MarkRegion
from dictate.exam.finding import BOTH, FindingFields
from dictate.matching.anchors import STATEMENTS
from dictate.matching.cautions import caution, measures_else
from dictate.matching.clause import Clause
from dictate.matching.clauses import cut
from dictate.matching.describing import Describer
from dictate.matching.draft import NO_LESION, Draft
from dictate.matching.gazetteer import Gazetteer
from dictate.matching.health import is_health, mark_healthy, notes_ail, only_works, without_loose
from dictate.matching.items import LESIONS, Item, is_denied, is_lesion
from dictate.matching.negation import Sentence
from dictate.matching.outcome import Outcome
from dictate.matching.place import Place
from dictate.matching.places import Places
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
    speaks_of_last,
)
from dictate.matching.regions import state
from dictate.matching.sites import shared, sites
from dictate.matching.spots import Mark, Spot
from dictate.matching.thresholds import SURE_PLACE
from dictate.matching.wording import (
    carried,
    hearsay,
    phrase_of,
    plural,
    says_nodes,
    skin_or_lining,
)
from dictate.vocabulary.schema import Lexicon


class Assembler:
    """Makes outcomes of sentences, with the regions and variants of a lexicon."""

    def __init__(self, lexicon: Lexicon) -> None:
        self._gazetteer = Gazetteer(lexicon)
        self._places = Places(self._gazetteer)
        self._describer = Describer(lexicon)
        self._placing = Placing(lexicon, self._gazetteer)

    def outcomes(self, sentence: Sentence, here: Here) -> list[Outcome]:
        """The outcomes of a sentence, clause by clause."""
        items = without_loose(self._places.gather(sentence, here.region))
        clauses = cut(sentence, items)
        alone = not any(is_lesion(item) for item in items)
        spoken = frozenset(p.region for p in items if isinstance(p, Place) and p.region)
        found: list[Outcome] = []
        for clause in shared(clauses):
            made = self._clause(sentence, clause, here, alone=alone, spoken=spoken)
            for outcome in made:
                if outcome.what == "aside":
                    outcome.said = " ".join(_words(sentence, clause))
            found += made
            here = _after(here, made)
        caution(sentence, found)
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
        self,
        sentence: Sentence,
        clause: Clause,
        here: Here,
        *,
        alone: bool,
        spoken: frozenset[str],
    ) -> list[Outcome]:
        anchor = clause.anchor
        if isinstance(anchor, Spot) and anchor.slot in STATEMENTS:
            said = state(sentence, clause, here, self._gazetteer, alone=alone, spoken=spoken)
            if not said.marks:
                return [Outcome("aside", why=said.why)]
            pairs = zip(said.marks, said.places, strict=True)
            return [Outcome("mark", command=mark, place=place) for mark, place in pairs]
        places, landmarks = sites(clause, self._gazetteer)
        made = [self._lesion(sentence, clause, place, here) for place in (places or (None,))]
        _share_kind(made)
        if len(made) > 1 and not plural(clause):
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
        carry = carried(clause)
        if clause.anchor is None:
            return self._without_lesion(sentence, clause, draft, place, here, carry)
        phrase = phrase_of(clause.anchor)
        if carry & {"another", "same kind"} and phrase is None:
            copy_last(draft, here.last, whole="same kind" in carry)
        if speaks_of_last(sentence, clause, draft, place, here, carry):
            return self._detail(draft, place, here)
        if hearsay(clause):
            return Outcome("aside", draft, why="it only sounds a little like a finding")
        self._placing.put(draft, place, phrase, here, carry)
        skin_or_lining(clause, draft, here.region)
        if clause.unclear:
            unclear = ("region", "side", "size_mm") if _sized(sentence) else ("region", "side")
            for name in unclear:
                draft.doubt(name, "which place belongs to which finding was not clear")
        return Outcome("finding", draft, place=place)

    def _without_lesion(
        self,
        sentence: Sentence,
        clause: Clause,
        draft: Draft,
        place: Place | None,
        here: Here,
        carry: set[str],
    ) -> Outcome:
        """A clause that names no lesion: a place, details, or health."""
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
            return self._detail(draft, place, here)
        if not details and not absent and not draft.doubts:
            if only_works(clause) and not draft.unknown:
                return mark_healthy(clause, draft, place, here)
            if place is not None and draft.notes and not draft.unknown:
                draft.doubt("kind", NO_LESION)
                self._placing.put(draft, place, None, here, carry)
                return Outcome("finding", draft, place=place)
            return self._place_alone(clause, place, draft, here)
        if details and not any(spot.likely is None for spot in draft.spots()):
            return Outcome("aside", draft, why="it only sounds a little like a description")
        if "other side" in carry and details and _sided(here.last):
            return self._across_from_last(clause, draft, place, here, carry)
        alone = set(details) <= {"size_mm"} and measures_else(sentence)
        if of_something_else(sentence, clause, draft) or (alone and place is None):
            return Outcome("aside", draft, why="it describes something else")
        if (details or draft.doubts) and at_last(place, here) and not moved_on(place, here):
            long_ago(sentence, clause, draft)
            return self._detail(draft, place, here)
        if place is None and only_of_lesions(draft) and here.last is not None:
            outcome = self._detail(draft, place, here)
            for name in draft.details():
                draft.doubt(name, "of the finding before? Another region is in hand")
            return outcome
        well = is_health(draft) and not notes_ail(clause)
        if well and (absent or details - {"denied_symptoms"}):
            return mark_healthy(clause, draft, place, here)
        if (place is None or place.only_side) and (
            here.region is None or here.last is None or details <= {"denied_symptoms"}
        ):
            return Outcome("aside", draft, why="it names no lesion and no place")
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
        draft.doubt("kind", NO_LESION)
        self._placing.put(draft, place, None, here, carry)
        if any(spot.mark is Mark.LANDMARK for spot in clause.spots):
            draft.doubt("size_mm", "of another one, or how far the last one goes?")
        return Outcome("finding", draft, place=place)

    def _place_alone(
        self, clause: Clause, place: Place | None, draft: Draft, here: Here
    ) -> Outcome:
        if place is not None and any(spot.score < SURE_PLACE for spot in place.spots):
            return Outcome("aside", draft, why="it only sounds a little like a place")
        if place is None:
            return Outcome("aside", draft, why="nothing in it is for the record")
        if any(spot.mark is Mark.LANDMARK for spot in clause.spots):
            return _beside_last(clause, draft, here)
        if completes_last(place, here):
            return self._detail(draft, place, here)
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

    def _detail(self, draft: Draft, place: Place | None, here: Here) -> Outcome:
        """More about the finding before: only what is said, doubted where it is at odds."""
        if place is not None:
            put_said(draft, place)
        last = here.last
        if draft.get("kind") in (GENERIC, last.kind if last is not None else GENERIC):
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


def _words_of(item: Item) -> tuple[str, ...]:
    spots = item.spots if isinstance(item, Place) else (item,)
    return tuple(word for spot in spots for word in spot.said)


def _sized(sentence: Sentence) -> bool:
    return any(spot.size is not None and spot.size.led for spot in sentence.spots)


def _sided(last: FindingFields | None) -> bool:
    return last is not None and last.side in BOTH


def _share_kind(made: Sequence[Outcome]) -> None:
    """ "Levels two and three, nodes": what the one is, the other is as well."""
    drafts = [outcome.draft for outcome in made if outcome.draft is not None]
    kinds = {str(each.get("kind")) for each in drafts if each.get("kind") is not None}
    for draft in drafts:
        if len(kinds) == 1 and draft.get("kind") is None and draft.get("normal_variant") is None:
            draft.put("kind", next(iter(kinds)))


def _words(sentence: Sentence, clause: Clause) -> list[str]:
    return [word for item in clause.items for word in sentence.words[item.start : item.end]]


def _after(here: Here, made: Sequence[Outcome]) -> Here:
    for outcome in made:
        if outcome.what == "finding" and outcome.draft is not None:
            here = replace(here, last=outcome.draft.fields(), last_in_breath=True, marked=None)
        elif isinstance(outcome.command, MarkRegion) and not here.last_in_breath:
            here = replace(here, marked=outcome.command.region)
    return here


def _with_landmark(sentence: Sentence, clause: Clause, landmark: Place) -> str:
    """The words of a landmark with what leads to it ("behind the last molar")."""
    leads = [s.start for s in clause.spots if s.mark is Mark.LANDMARK and s.start < landmark.start]
    return " ".join(sentence.words[max(leads, default=landmark.start) : landmark.end])
