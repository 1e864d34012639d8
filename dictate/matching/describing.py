"""Reads what a clause says of a lesion into the fields of a draft."""

from __future__ import annotations

from dataclasses import dataclass

from dictate.exam.finding import FindingFields
from dictate.matching.anchors import GENERIC_OF, resembled
from dictate.matching.clause import Clause
from dictate.matching.draft import Draft
from dictate.matching.items import own_region
from dictate.matching.measuring import Measuring
from dictate.matching.naming import is_second_name, is_supposed
from dictate.matching.negation import DESCRIBING, Sentence
from dictate.matching.place import SITES, Place
from dictate.matching.spots import Mark, Spot
from dictate.matching.teeth import ASPECTS, place_of_tooth
from dictate.matching.thresholds import ACCEPT, MARGIN, SURE_LESION
from dictate.vocabulary.schema import Lexicon, Slot

_MANY = frozenset({Slot.COLOUR, Slot.SURFACE, Slot.BORDER, Slot.CONSISTENCY, Slot.SYMPTOM})
_ONE = frozenset(
    {
        Slot.DISTRIBUTION,
        Slot.MOBILITY,
        Slot.ATTACHMENT,
        Slot.CHANGE,
        Slot.TENDER,
        Slot.WIPES_OFF,
    }
)
_FIRST_KEPT = frozenset({Slot.DISTRIBUTION, Slot.CHANGE})
"""Slots of one value where a second that is said goes to the note: both may be true."""
_MERELY_MANY = "multiple"
"""A distribution that says least: "multiple scattered" is scattered."""
_LESIONS = frozenset({Slot.KIND, Slot.NORMAL_VARIANT})
_STATEMENTS = frozenset({Slot.NORMAL, Slot.NOT_EXAMINED, Slot.EXAMINED})
_OF_UNITS = {Slot.LENGTH_UNIT: "size_mm", Slot.TIME_UNIT: "duration_days"}
"""What a unit is said of that was taken back ("millimetres, I mean centimetres")."""
DENIED = "“not"
FROM_TOOTH = "told from the tooth"
_BEFORE_NOUN = DESCRIBING | {Slot.FILLER, Slot.CARRY}
_PASSED = frozenset({Mark.FUNCTION, Mark.UNKNOWN})
_BESIDE = frozenset(
    {
        *("opposite", "by", "beside", "near", "behind", "adjacent", "next", "around", "between"),
        *("distal", "mesial", "lingual", "palatal", "buccal", "labial", "line", "at"),
    }
)
"""Words that lead to a tooth which says where something is, and not what came of the tooth."""
_AT_TEETH = frozenset({"gingiva", "alveolar ridge"})
"""Regions where a place is told by the tooth. source: common practice, no source"""
_SOCKET = "extraction socket"
"""The part that lies where a tooth was."""
_CAUSES = frozenset({"from", "after", "extraction", "removal", "removed", "missing", "of"})
"""Words before a tooth that something came of."""
_DEGREES = ("ly", "very", "somewhat")
_PAST = frozenset({"history of", "with a history of"})


class Describer:
    """Describes lesions with the colours of a lexicon."""

    def __init__(self, lexicon: Lexicon) -> None:
        self._colours = {
            phrase.words[0]: str(phrase.value)
            for phrase in lexicon.phrases
            if phrase.slot is Slot.COLOUR and len(phrase.words) == 1 and not phrase.misheard
        }

    def describe(self, sentence: Sentence, clause: Clause, draft: Draft) -> None:
        """Put every detail of the clause, its anchor included, into the draft."""
        measuring = Measuring(sentence, clause, draft)
        reader = _Reader(sentence, clause, draft, self._colours)
        for index, item in enumerate(clause.items):
            if isinstance(item, Place):
                continue
            if item.size is not None:
                measuring.size(index)
            elif item.duration is not None:
                measuring.duration(item)
            else:
                reader.read(index, item)
        measuring.count()


@dataclass(frozen=True, slots=True)
class _Reader:
    """Reads the phrases of one clause."""

    sentence: Sentence
    clause: Clause
    draft: Draft
    colours: dict[str, str]

    def read(self, index: int, spot: Spot) -> None:
        said = " ".join(self.sentence.said(spot))
        if spot.mark is Mark.TOOTH:
            self._tooth(spot, said)
        elif spot.mark is Mark.REPAIR:
            self._taken_back(spot, said)
        elif spot.mark is Mark.UNKNOWN:
            self.draft.unknown.append(said)
            self.draft.notes.append(said)
        elif spot.slot in _LESIONS:
            self._lesion(index, spot, said)
        elif spot.slot in SITES:
            self.draft.doubt(spot.slot.value, f"{DENIED} {said}” was said")
        elif spot.phrase is not None and (spot.negated or spot.phrase.negated):
            self._absent(spot, said)
        elif spot.slot is Slot.NOTE:
            self._remark(index, said)
        elif spot.slot in _MANY or spot.slot in _ONE:
            self._put(spot)
        elif spot.slot is Slot.LENGTH_UNIT:
            self.draft.doubt("size_mm", "a unit was said, but its figure was not understood")
        elif spot.slot is Slot.TIME_UNIT:
            self.draft.doubt("duration_days", "a time was said, but its figure was not understood")
        elif spot.slot in _STATEMENTS:
            self.draft.notes.append(said)

    def _put(self, spot: Spot) -> None:
        assert spot.phrase is not None
        name, value = spot.phrase.slot.value, spot.phrase.value
        old = self.draft.get(name)
        if spot.slot is Slot.DISTRIBUTION and old == _MERELY_MANY:
            self.draft.notes.append(_MERELY_MANY)
            old = None
        elif spot.slot in _FIRST_KEPT and old is not None and old != value:
            self.draft.notes.append(" ".join(self.sentence.said(spot)))
            return
        if spot.slot in _ONE and old is not None and old != value:
            self.draft.doubt(name, f"both “{old}” and “{value}” were said")
            self.draft.offer(name, old, 100.0)
        self.draft.put(name, value, spot)
        likeness_doubts(self.draft, name, spot)

    def _tooth(self, spot: Spot, said: str) -> None:
        """The tooth is kept as said; a side that only it tells is asked about."""
        self.draft.notes.append(said)
        arch, side = place_of_tooth(self.sentence.said(spot))
        self.draft.arch = arch or self.draft.arch
        led = self.sentence.words[max(0, spot.start - 2) : spot.start]
        if led[-1:] == ("to",) and led[0] in ASPECTS:
            self.draft.aspect = led[0]
        told = self.draft.get("side")
        if side and told in ("left", "right") and told != side:
            self.draft.doubt("side", f"“{said}” lies on the {side}")
        if not side or told is not None:
            return
        self.draft.put("side", side, spot)
        if not self._locates(spot):
            self.draft.doubt("side", f"{FROM_TOOTH} “{said}” alone")

    def _locates(self, tooth: Spot) -> bool:
        """ "Cheek opposite the upper right seven": the tooth says on which side."""
        words = self.sentence.words
        before = [word for word in words[max(0, tooth.start - 3) : tooth.start] if word != "the"]
        regions = {place.region for place in self.clause.places if _named(place)}
        regions |= {own_region(self.clause.anchor)} - {None}
        lesions = sum(s.slot in _LESIONS and not s.negated for s in self.sentence.spots)
        sided = any(s.slot is Slot.SIDE for s in self.sentence.spots)
        if len(regions) != 1 or sided or lesions > 1:
            return False
        on_gum = regions <= _AT_TEETH and not _CAUSES.intersection(before)
        if any(place.subsite == _SOCKET for place in self.clause.places):
            return True
        return on_gum or bool(_BESIDE.intersection(before[-2:]))

    def _taken_back(self, repair: Spot, said: str) -> None:
        """What was said anew is asked about; after an unresolved "sorry" nothing is sure."""
        for spot in repair.taken_back:
            first = " ".join(spot.said)
            name = _field_of(spot)
            self.draft.doubt(name, f"“{first}” was said first and taken back")
            if spot.phrase is not None and name == spot.phrase.slot.value:
                self.draft.offer(name, spot.phrase.value, 50.0)
        if repair.settled:
            return
        for name in ("kind", "region", "side", "size_mm"):
            self.draft.doubt(name, f"“{said}”: something was taken back")

    def _remark(self, index: int, said: str) -> None:
        """Words for the note, with the adjective that they qualify ("slightly raised")."""
        after = self.clause.items[index + 1 : index + 2]
        item = after[0] if after and said.endswith(_DEGREES) else None
        if isinstance(item, Spot) and item.slot in DESCRIBING:
            said += " " + " ".join(self.sentence.said(item))
        self.draft.notes.append(said)

    def _absent(self, spot: Spot, said: str) -> None:
        phrase = spot.phrase
        assert phrase is not None
        if spot.negated and phrase.negated:
            self.draft.doubt("symptoms", f"“{said}” was denied twice over")
            self.draft.notes.append(said)
        elif phrase.slot is Slot.SYMPTOM:
            self.draft.put("denied_symptoms", phrase.value, spot)
        elif phrase.opposite is not None:
            self.draft.put(phrase.slot.value, phrase.opposite, spot)
        elif phrase.slot in DESCRIBING:
            self.draft.notes.append(f"not {said}")

    def _lesion(self, index: int, spot: Spot, said: str) -> None:
        assert spot.phrase is not None
        if spot.negated:
            self.draft.notes.append(f"no {said}")
            return
        if spot is not self.clause.anchor:
            if spot.phrase.value in GENERIC_OF and index < len(self.clause.items) - 1:
                return  # "An area of erythema": the word after it names the lesion.
            alike = resembled(self.clause.items, index)
            alike = alike or is_supposed(self.clause.items, index)
            self.draft.notes.append(f"{'looks like' if alike else 'with'} {said}")
            if not alike:
                self._second_name(index, spot, said)
            return
        name = spot.phrase.slot.value
        self.draft.put(name, spot.phrase.value, spot)
        likeness_doubts(self.draft, name, spot)
        if spot.phrase.vague:
            self.draft.doubt(name, f"“{said}” is a loose name")
        for word in spot.phrase.words:
            if word in self.colours and spot.likely is None:
                self.draft.put("colours", self.colours[word], spot)
        self._in_doubt(index, name)

    def _second_name(self, index: int, spot: Spot, said: str) -> None:
        """ "Lump in the left cheek, lipoma": which of the two is recorded, is asked."""
        anchor, items = self.clause.anchor, self.clause.items
        first = next((at for at, item in enumerate(items) if item is anchor), len(items))
        if is_second_name(self.sentence, items, first, index) and spot.phrase is not None:
            self.draft.doubt("kind", f"“{said}” was said of it as well")
            self.draft.offer("kind", spot.phrase.value, 100.0)

    def _in_doubt(self, index: int, name: str) -> None:
        """ "Possible", "previous" before the lesion: it may not be there."""
        for item in reversed(self.clause.items[:index]):
            if isinstance(item, Place):
                return
            said = " ".join(self.sentence.said(item))
            if item.mark in (Mark.NOT_SURE, Mark.RESEMBLING):
                self.draft.doubt(name, f"said to be “{said}”, not sure")
                self.draft.notes.append(said)
            elif _lasting(self.sentence, self.clause, item):
                continue  # "He has had a patch these four months": it is there.
            elif item.mark is Mark.PAST or said in _PAST:
                self.draft.doubt(name, f"“{said}”: it may be of the past")
                self.draft.notes.append(said)
            elif item.slot not in _BEFORE_NOUN and item.mark not in _PASSED:
                return


def _lasting(sentence: Sentence, clause: Clause, spot: Spot) -> bool:
    before = sentence.words[max(0, spot.start - 1) : spot.start]
    timed = any(each.duration is not None for each in clause.spots)
    return spot.said == ("had",) and before in (("has",), ("have",), ("is",)) and timed


def _field_of(spot: Spot) -> str:
    if spot.size is not None:
        return "size_mm"
    if spot.duration is not None:
        return "duration_days"
    assert spot.slot is not None
    if spot.slot.value in FindingFields.model_fields:
        return spot.slot.value
    return _OF_UNITS.get(spot.slot, "kind")


def _named(place: Place) -> bool:
    return place.region is not None and not place.inferred


def likeness_doubts(draft: Draft, name: str, spot: Spot) -> None:
    """Doubt a field whose words only resemble the phrase, and offer the runner-up."""
    if spot.likely is None:
        return
    likely = spot.likely
    sure = SURE_LESION if likely.phrase.slot in _LESIONS else ACCEPT
    if likely.score < sure:
        draft.doubt(name, f"only {likely.score:.0f} % like “{likely.phrase.text}”")
    elif likely.margin < MARGIN and likely.runner_up is not None:
        draft.doubt(name, f"it could also be “{likely.runner_up.text}”")
    if likely.runner_up is not None:
        draft.offer(name, likely.runner_up.value, likely.score - likely.margin)
    for slot, value in likely.phrase.fills:
        draft.doubt(slot.value, f"{value} was told from words like “{likely.phrase.text}”")
