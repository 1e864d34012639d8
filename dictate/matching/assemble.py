"""Clauses become outcomes: findings, details of the finding before, marks of regions."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from dictate.exam.commands import MarkRegion
from dictate.exam.finding import BOTH
from dictate.matching.accounting import account
from dictate.matching.anchors import STATEMENTS
from dictate.matching.cautions import caution
from dictate.matching.clause import Clause
from dictate.matching.clauses import cut
from dictate.matching.comparing import without_compared
from dictate.matching.consistency import agree
from dictate.matching.describing import Describer
from dictate.matching.draft import Draft
from dictate.matching.gazetteer import Gazetteer
from dictate.matching.health import mark_healthy, only_works, without_loose
from dictate.matching.items import Item, is_lesion, own_region
from dictate.matching.negation import Sentence
from dictate.matching.outcome import Outcome
from dictate.matching.place import Place
from dictate.matching.places import Places, last_region
from dictate.matching.placing import Here, Placing, put_said
from dictate.matching.pointing import (
    copy_last,
    same_size,
    speaks_of_last,
)
from dictate.matching.regions import state
from dictate.matching.sentences import standing
from dictate.matching.sharing import share_both, share_kind
from dictate.matching.sites import shared, sites
from dictate.matching.spots import Mark, Spot
from dictate.matching.subjects import ailing_structure, announces
from dictate.matching.unnamed import Unnamed, detail
from dictate.matching.wording import (
    carried,
    hearsay,
    phrase_of,
    plural,
    skin_or_lining,
)
from dictate.vocabulary.schema import Lexicon, Slot


class Assembler:
    """Makes outcomes of sentences, with the regions and variants of a lexicon."""

    def __init__(self, lexicon: Lexicon) -> None:
        self._gazetteer = Gazetteer(lexicon)
        self._places = Places(self._gazetteer)
        self._describer = Describer(lexicon)
        self._placing = Placing(lexicon, self._gazetteer)
        self._unnamed = Unnamed(self._gazetteer, self._placing)

    def outcomes(self, sentence: Sentence, here: Here) -> list[Outcome]:
        """The outcomes of a sentence, clause by clause."""
        parts = standing(sentence)
        gathered: list[tuple[Item, ...]] = []
        region = here.region
        for part in parts:
            items = without_loose(part, self._places.gather(part, region))
            gathered.append(without_compared(part, items))
            region = last_region(gathered[-1], region)
        every = [item for items in gathered for item in items]
        alone = not any(is_lesion(item) for item in every)
        spoken = frozenset(p.region for p in every if isinstance(p, Place) and p.region)
        found: list[Outcome] = []
        cuts = [shared(cut(part, items)) for part, items in zip(parts, gathered, strict=True)]
        to_come = [c for clauses in cuts for c in clauses if c.anchor and is_lesion(c.anchor)]
        for part, clauses in zip(parts, cuts, strict=True):
            for clause in clauses:
                to_come = to_come[1:] if to_come and clause is to_come[0] else to_come
                made = self._clause(part, clause, here, alone=alone, spoken=spoken)
                if announces(clause, to_come):
                    here = _announced(here, made)
                    made = [Outcome("aside", why="it only tells how many there are")]
                for outcome in made:
                    if outcome.what == "aside":
                        outcome.said = " ".join(_words(sentence, clause))
                found += made
                here = _after(here, made)
        share_both(sentence, found)
        caution(sentence, found)
        account(sentence, found)
        agree(found)
        return found

    def value(self, sentence: Sentence, region: str | None = None) -> Draft:
        """What words say as the value of a field: no place or lesion is asked of them.

        `region`: the one that a part said without its region is of.
        """
        draft = Draft()
        for clause in cut(sentence, self._places.gather(sentence, region)):
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
        share_kind(made)
        if len(made) > 1 and not plural(clause):
            for outcome in made:
                if outcome.draft is not None:
                    _at_several(outcome.draft)
        for outcome in made:
            if outcome.draft is not None:
                for landmark in landmarks:
                    outcome.draft.notes.append(_with_landmark(sentence, clause, landmark))
                    _side_of(landmark, outcome.draft)
        return made

    def _lesion(
        self, sentence: Sentence, clause: Clause, place: Place | None, here: Here
    ) -> Outcome:
        draft = Draft()
        self._describer.describe(sentence, clause, draft)
        carry = carried(clause)
        if clause.anchor is None:
            return self._unnamed.read(sentence, clause, draft, place, here, carry)
        phrase = phrase_of(clause.anchor)
        counted = isinstance(clause.anchor, Place) and only_works(clause)
        if counted and set(draft.details()) <= {"kind", "count"}:
            return mark_healthy(clause, draft, place, here)
        if carry & {"another", "same kind"} and phrase is None:
            copy_last(draft, here.last, whole="same kind" in carry)
        if "same size" in carry:
            same_size(draft, here)
        if speaks_of_last(sentence, clause, draft, place, here, carry):
            return detail(draft, place, here)
        if hearsay(clause):
            return Outcome("aside", draft, why="it only sounds a little like a finding")
        self._placing.put(draft, place, phrase, here, carry, ailing_structure(sentence, clause))
        skin_or_lining(clause, draft, _spoken_of(here), sentence.words)
        if clause.unclear:
            for name in _unclear(sentence, clause, draft):
                draft.doubt(name, "which place belongs to which finding was not clear")
        if clause.loose_size:
            draft.doubt("size_mm", "it stands between two findings: which has it?")
        return Outcome("finding", draft, place=place)


def _unclear(sentence: Sentence, clause: Clause, draft: Draft) -> tuple[str, ...]:
    """What may be of another finding: not a region that the name of this one fixes."""
    own = own_region(clause.anchor) is not None
    names = () if own and own_region(clause.anchor) == draft.get("region") else ("region",)
    sided = any(spot.slot is Slot.SIDE for spot in sentence.spots)
    names = (*names, "side") if sided or not own else names
    return (*names, "size_mm") if _sized(sentence) else names


def _at_several(draft: Draft) -> None:
    why = "one lesion was named, but several places"
    draft.doubt("region", why)
    if draft.get("size_mm"):
        draft.doubt("size_mm", why)


def _sized(sentence: Sentence) -> bool:
    return any(spot.size is not None and spot.size.led for spot in sentence.spots)


def _side_of(landmark: Place, draft: Draft) -> None:
    """ "Above the right ear": the side of what lies beside it, if none was said."""
    if draft.get("side") is None and landmark.side in BOTH:
        draft.put("side", landmark.side)
        draft.doubt("side", f"{landmark.side} was said of what lies beside it")


def _announced(here: Here, made: Sequence[Outcome]) -> Here:
    """Where lesions are that are told one by one after "three lesions on the left border"."""
    place = made[0].place if made else None
    if place is None or place.region is None:
        return here
    at = replace(here, region=place.region, subsite=place.subsite, side=place.side)
    return replace(at, gone_to=False, last_in_breath=False)


def _spoken_of(here: Here) -> str | None:
    """The region of the finding before in the same breath, else the one in hand."""
    before = here.last if here.last_in_breath else None
    return before.region if before is not None else here.region


def _words(sentence: Sentence, clause: Clause) -> list[str]:
    return [word for item in clause.items for word in sentence.words[item.start : item.end]]


def _after(here: Here, made: Sequence[Outcome]) -> Here:
    for outcome in made:
        if outcome.what == "finding" and outcome.draft is not None:
            here = replace(here, last=outcome.draft.fields(), last_in_breath=True, marked=None)
        elif isinstance(outcome.command, MarkRegion) and not here.last_in_breath:
            if outcome.place is None and outcome.command.doubt:
                continue  # Its region was not said either.
            part = outcome.place.subsite if outcome.place is not None else None
            here = replace(here, marked=outcome.command.region, marked_part=part)
    return here


def _with_landmark(sentence: Sentence, clause: Clause, landmark: Place) -> str:
    """The words of a landmark with what leads to it ("behind the last molar")."""
    leads = [s.start for s in clause.spots if s.mark is Mark.LANDMARK and s.start < landmark.start]
    return " ".join(sentence.words[max(leads, default=landmark.start) : landmark.end])
