"""Sizes, durations and counts of a clause, put into a draft with what is doubtful in them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from dictate.matching import grammar
from dictate.matching.clause import Clause
from dictate.matching.draft import Draft
from dictate.matching.items import Item, is_distance, is_size
from dictate.matching.negation import DESCRIBING, Sentence
from dictate.matching.other_times import of_another_time
from dictate.matching.place import SITES, Place
from dictate.matching.sizes import NO_UNIT
from dictate.matching.spots import Mark, Spot
from dictate.matching.then_and_now import of_now, of_then, then_and_now
from dictate.matching.thresholds import LARGEST_MM, SMALLEST_MM
from dictate.vocabulary.schema import Slot

_RECORDABLE_MM = 500.0
_NO_CENTIMETRES = 10.0
"""A dimension above it cannot be in centimetres in the mouth. source: common practice, no source"""
_ROOMY = frozenset({"neck", "thyroid gland", "lymph nodes", "parotid gland", "face"})
"""Regions where something may be that large."""
_ONLY = (("just",), ("only",))
_THERE = (("palpable",), ("visible",))
_ALL_TOLD = grammar.word_set("total altogether overall")
_OF_THEM = (("of", "them"), ("of", "these"), ("of", "those"), ("in", "all"), ("in", "total"))
_WHICH = frozenset({"next", "which", "no", "other", "each", "every", "any"})
"""Right before "one" they make it a thing."""
_GROUP_OF = frozenset({("crop", "of"), ("group", "of"), ("cluster", "of"), ("set", "of")})
"""Words before the number of lesions that stand together ("a crop of four")."""
_ONE_OR_PART = (None, "single", "one-sided", "localised")


@dataclass(frozen=True, slots=True)
class Measuring:
    """Reads the measures of one clause into its draft."""

    sentence: Sentence
    clause: Clause
    draft: Draft

    def size(self, index: int) -> None:
        """The size at `index` of the clause: a size, a distance, or a count read elsewhere."""
        spot = self.clause.items[index]
        assert isinstance(spot, Spot)
        assert spot.size is not None
        if not spot.size.led and self._count_at(index) is not None:
            self._touching_size(index)
            return
        if is_distance(self.sentence, self.clause.items, index):
            end = self._landmark_end(index)
            self.draft.notes.append(" ".join(self.sentence.words[spot.start : end]))
            return
        if self._pronoun(spot):
            return
        timed = then_and_now(self.sentence)
        if not spot.size.led and not timed and self._sized():
            self._beside_size(spot)
            return
        mm = [value for value in spot.size.mm if 0 < value <= _RECORDABLE_MM]
        if len(mm) < len(spot.size.mm):
            self.draft.doubt("size_mm", "the size said cannot be recorded: say it again")
        elif self.draft.get("size_mm"):
            self._second(spot, mm)
        else:
            if mm:
                self.draft.put("size_mm", mm, spot)
            for why in (*self._needed(spot.size.whys, mm), *_implausible(mm)):
                self.draft.doubt("size_mm", why)

    def _sized(self) -> bool:
        """True if a size is said that is no distance."""
        items = self.clause.items
        return any(
            is_size(item) and not is_distance(self.sentence, items, index)
            for index, item in enumerate(items)
        )

    def _second(self, spot: Spot, mm: list[float]) -> None:
        """Of two sizes the first is kept, but for one that is said to be that of today."""
        held = self.draft.get("size_mm")
        first = self.draft.evidence["size_mm"][0]
        now = of_now(self.sentence, spot) or of_then(self.sentence, first)
        if now and mm and not of_then(self.sentence, spot):
            self.draft.values["size_mm"] = mm
            self.draft.offer("size_mm", held, 100.0)
        else:
            self.draft.offer("size_mm", mm, 100.0)
        assert first.size is not None
        assert spot.size is not None
        plain = first.size.unit_said and spot.size.unit_said and then_and_now(self.sentence)
        if not plain:
            self.draft.doubt("size_mm", "two sizes were said")

    def _needed(self, whys: Sequence[str], mm: Sequence[float]) -> list[str]:
        """Without the unit where no centimetres can be meant: "cheek, twelve by eight"."""
        regions = {place.region for place in self.clause.places} - {None}
        inside = bool(regions) and not regions & _ROOMY
        several = len(mm) > 1 and max(mm) > _NO_CENTIMETRES
        return [why for why in whys if not (inside and several and why == NO_UNIT)]

    def _touching_size(self, index: int) -> None:
        """ "Two five millimetre ulcers": two of five, or two point five?"""
        spot = self.clause.items[index]
        following = self.clause.items[index + 1] if index + 1 < len(self.clause.items) else None
        assert isinstance(spot, Spot)
        if (
            following is not None
            and is_size(following)
            and following.start == spot.end
            and "couple" not in spot.said
        ):
            self.draft.doubt("size_mm", f"“{' '.join(spot.said)}” stands right before it")

    def _beside_size(self, spot: Spot) -> None:
        """A bare number where a size is said too: "one is ten millimetres" is no number."""
        said = " ".join(spot.said)
        self.draft.doubt("size_mm", f"“{said}” was said as well")
        self.draft.notes.append(said)

    def _pronoun(self, spot: Spot) -> bool:
        """ "One is ten millimetres", "the red one": a thing, and no number."""
        before = [s for s in self.sentence.spots if s.end == spot.start]
        if spot.said == ("half",):
            return bool(before) and before[0].slot is Slot.SIDE
        if spot.said != ("one",):
            return False
        if self._only_one(spot):
            self.draft.put("count", 1, spot)
            return True
        following = self.sentence.words[spot.end : spot.end + 1]
        if following and following[0] in grammar.FUNCTION:
            return True
        if spot.start in self.sentence.pauses:
            return False
        if before and before[0].slot in DESCRIBING | SITES:
            return True
        before_it = self.sentence.words[max(0, spot.start - 2) : spot.start]
        if _WHICH.intersection(before_it[-1:]):
            return True
        return bool(grammar.ARTICLES.difference({"it", "its"}).intersection(before_it))

    def _only_one(self, spot: Spot) -> bool:
        """ "Node on the left, just one, soft", "one palpable at level three": how many."""
        words = self.sentence.words
        only = words[spot.start - 1 : spot.start] in _ONLY
        ends = spot.end == len(words) or spot.end in self.sentence.pauses
        begins = spot.start == 0 or spot.start in self.sentence.pauses
        return (only and ends) or (begins and words[spot.end : spot.end + 1] in _THERE)

    def duration(self, spot: Spot) -> None:
        """How long it has been there; the first one said is kept."""
        duration = spot.duration
        assert duration is not None
        if of_another_time(self.sentence, spot):
            self.draft.notes.append(" ".join(self.sentence.said(spot)))
            return
        held = self.draft.get("duration_days")
        if duration.days is None:
            self.draft.notes.append(" ".join(self.sentence.said(spot)))
        elif held not in (None, duration.days):
            self.draft.doubt("duration_days", "two times were said")
            self.draft.offer("duration_days", duration.days, 100.0)
            return
        else:
            self.draft.put("duration_days", duration.days, spot)
        for why in duration.whys:
            self.draft.doubt("duration_days", why)

    def count(self) -> None:
        """How many: a number before the lesion, else one unless it is named in the plural."""
        anchor = self.clause.anchor
        phrase = anchor.phrase if isinstance(anchor, Spot) else None
        if anchor is None:
            self._counted_before()
        if anchor is None or (isinstance(anchor, Spot) and phrase is None):
            return
        plural = phrase.plural if phrase is not None else _plural_place(anchor)
        for index, item in enumerate(self.clause.items):
            number = self._count_at(index)
            if number is not None and isinstance(item, Spot):
                self._counted(number, item, plural)
                return
        if plural or self.draft.get("distribution") not in _ONE_OR_PART:
            return
        variant = phrase is not None and phrase.slot is Slot.NORMAL_VARIANT
        if not variant or self._article_before():
            self.draft.put("count", 1)

    def _counted_before(self) -> None:
        """ "Three of them in all": of the lesions said before; "two of them, red" may be some."""
        for index, item in enumerate(self.clause.items):
            number = self._count_at(index)
            if number is None or not isinstance(item, Spot):
                continue
            self.draft.put("count", number, item)
            if not _ALL_TOLD.intersection(self.sentence.words[item.end : item.end + 4]):
                said = " ".join(self.sentence.words[item.start : item.end + 2])
                self.draft.doubt("count", f"“{said}”: all there are, or some of them?")

    def _counted(self, number: int, item: Spot, plural: bool) -> None:
        self.draft.put("count", number, item)
        if self._after_level(item):
            said = " ".join(self.sentence.said(item))
            self.draft.doubt("count", f"“{said}” may be a second level")
            self.draft.doubt("node_level", f"“and {said}” may be a second level")
        if number == 0 or (number > 1) != plural:
            said = " ".join(self.sentence.said(item))
            self.draft.doubt("count", f"“{said}” does not go with the word after it")

    def _after_level(self, item: Spot) -> bool:
        """ "Level two and three nodes": three nodes, or levels two and three?"""
        joint = self.sentence.words[item.start - 1 : item.start] == ("and",)
        return joint and any(
            spot.slot is Slot.NODE_LEVEL and spot.end == item.start - 1
            for spot in self.sentence.spots
        )

    def _count_at(self, index: int) -> int | None:
        """The bare number at `index` if it counts the lesions named right after it."""
        spot = self.clause.items[index]
        if not isinstance(spot, Spot) or spot.size is None or spot.size.led:
            return None
        if len(spot.size.mm) != 1 or not spot.size.mm[0].is_integer():
            return None
        of_them = self.sentence.words[spot.end : spot.end + 2] in _OF_THEM
        before = self.sentence.words[max(0, spot.start - 2) : spot.start]
        if self.clause.anchor is None:
            return int(spot.size.mm[0]) if of_them and spot.size.mm[0] > 1 else None
        if of_them or before in _GROUP_OF:
            return int(spot.size.mm[0])
        for item in self.clause.items[index + 1 :]:
            if item is self.clause.anchor:
                return int(spot.size.mm[0])
            if isinstance(item, Place):
                return None
            if item.slot not in DESCRIBING and item.said != ("and",) and not is_size(item):
                return None
        return None

    def _landmark_end(self, index: int) -> int:
        for item in self.clause.items[index + 1 :]:
            if isinstance(item, Place):
                return item.end
            if item.mark not in (Mark.LANDMARK, Mark.FUNCTION, Mark.UNKNOWN):
                break
        return self.clause.items[min(index + 1, len(self.clause.items) - 1)].end

    def _article_before(self) -> bool:
        assert self.clause.anchor is not None
        start = self.clause.anchor.start
        return start > 0 and self.sentence.words[start - 1] in grammar.INDEFINITE


def _implausible(mm: Sequence[float]) -> list[str]:
    if any(value > LARGEST_MM for value in mm):
        return [f"more than {LARGEST_MM:g} mm: millimetres or centimetres?"]
    if any(value < SMALLEST_MM for value in mm):
        return [f"less than {SMALLEST_MM:g} mm: is that right?"]
    return []


def _plural_place(anchor: Item) -> bool:
    return any(
        spot.phrase is not None and spot.phrase.words[-1] in ("nodes", "glands")
        for spot in (anchor.spots if isinstance(anchor, Place) else ())
    )
