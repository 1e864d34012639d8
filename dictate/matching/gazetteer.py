"""What the lexicon knows of regions and their parts, and on which the words said agree."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence

from dictate.matching.grammar import FUNCTION
from dictate.matching.spots import Spot
from dictate.matching.text import Speller
from dictate.vocabulary.schema import Lexicon, Phrase, Region, Slot

Option = tuple[str, str | None]
"""A region and one of its parts, or None for the region as a whole."""
_Core = frozenset[str]
_EDGE = ("lateral", "border")
_OUTER_CHEEK = ("cheek", "skin")
_FACE = "face"
_CHEEK = (("cheek",), ("cheeks",))
_ASPECTS = frozenset({"side", "aspect", "surface", "part", "portion"})
"""Words that say of a part no more than that it is one ("upper palatal side")."""


class Gazetteer:
    """The regions of a lexicon and the words for their parts."""

    def __init__(self, lexicon: Lexicon) -> None:
        self._speller = Speller.of(lexicon)
        self._regions = {region.value: region for region in lexicon.regions}
        self._names = {region.value: self._region_words(region) for region in lexicon.regions}
        self._counted = {
            str(fill): str(term.value)
            for term in lexicon.terms.get(Slot.KIND, ())
            for slot, fill in term.implies.items()
            if slot is Slot.REGION and fill == f"{term.value}s"
        }
        self._by_word = {
            phrase.words[0]: str(phrase.value)
            for phrase in lexicon.phrases
            if phrase.slot is Slot.REGION and len(phrase.words) == 1
            if not (phrase.vague or phrase.misheard)
        }
        self._edges = {
            region: phrase
            for phrase in lexicon.phrases
            if phrase.slot is Slot.SUBSITE and phrase.words == _EDGE
            for region in phrase.regions
        }
        self._failing = dict(_failing(lexicon))
        self._parts = {region.value: dict(self._part_words(region)) for region in lexicon.regions}
        cheeks = (each for each in lexicon.phrases if each.words == _OUTER_CHEEK)
        self._cheek = next((p for p in cheeks if (Slot.REGION, _FACE) in p.fills), None)

    def named_in(self, words: Sequence[str]) -> str | None:
        """The region that one of the words names by itself ("cheek" in "cheek biting")."""
        return next((self._by_word[word] for word in words if word in self._by_word), None)

    def jaw(self, region: str) -> str | None:
        """The jaw that a region is of by itself ("lower" of the retromolar area)."""
        found = self._regions.get(region)
        return found.jaw if found is not None else None

    def edge(self, region: str | None) -> Phrase | None:
        """The phrase of a region's lateral border, which "left border" means too."""
        return self._edges.get(region or "")

    def outer(self, spot: Spot, region: str | None) -> Phrase | None:
        """The skin of the cheek for a mere "cheek" at the face; None for anything else."""
        return self._cheek if region == _FACE and spot.said in _CHEEK else None

    def part(self, region: str, *words: str) -> str | None:
        """The part of a region that has just these words ("upper", "buccal")."""
        return self._parts.get(region, {}).get(frozenset(words))

    def has_middle(self, region: str) -> bool:
        """True if a part of the region lies in the middle of another ("middle lateral border")."""
        found = self._regions.get(region)
        return found is not None and any("middle" in part.value for part in found.subsites)

    def whole(self, region: str | None, parts: Collection[str | None]) -> bool:
        """True if the parts make up the whole region ("upper and lower lips")."""
        found = self._regions.get(region or "")
        return found is not None and bool(found.halves) and set(found.halves) <= set(parts)

    def failing(self, subsite: str | None, change: object) -> str | None:
        """ "The lower left socket is not healing": the lesion whose name says both."""
        return self._failing.get((subsite or "", str(change)))

    def kind_of(self, region: str | None) -> str | None:
        """The lesion that a region's own name counts: "two lymph nodes"."""
        return self._counted.get(region or "")

    def paired(self, region: str | None, subsite: str | None) -> bool:
        """True if a finding there needs a side."""
        found = self._regions.get(region or "")
        if found is None:
            return False
        part = next((each for each in found.subsites if each.value == subsite), None)
        return found.paired and not (part is not None and part.midline)

    def options(self, spots: Sequence[Spot]) -> list[Option]:
        """Pairs of region and part on which all the spots can agree, likeliest first."""
        agreed: list[Option] | None = None
        for spot in spots:
            options = spot_options(spot)
            agreed = options if agreed is None else list(_agree(agreed, options))
        parts = sum(spot.slot is Slot.SUBSITE for spot in spots)
        joint = self._joint(spots) if parts > 1 or (parts and not agreed) else []
        return list(dict.fromkeys([*joint, *(agreed or [])]))

    def _joint(self, spots: Sequence[Spot]) -> list[Option]:
        """ "Buccal sulcus, upper": the part that has all the words said, and no others."""
        said = (word for spot in spots if spot.phrase for word in spot.phrase.words)
        words = frozenset(word.removesuffix("ly") for word in said)  # "Buccally" is "buccal".
        regions = {region for spot in spots for region, _ in spot_options(spot)}
        named = {r for s in spots if s.slot is Slot.REGION for r, _ in spot_options(s)}
        found: list[Option] = []
        for region in self._regions:
            if region not in (named or regions):
                continue
            core = words - FUNCTION - self._names[region]
            part = self._parts[region].get(core) or self._parts[region].get(core - _ASPECTS)
            if part is not None:
                found.append((region, part))
        return found

    def _region_words(self, region: Region) -> _Core:
        return (
            frozenset(word for form in region.say for word in self._speller.words(form)) - FUNCTION
        )

    def _part_words(self, region: Region) -> Iterator[tuple[_Core, str]]:
        """The telling words of each form of each part, the plainest part last to win."""
        for part in region.subsites:
            for form in (*part.alone, *part.say):
                words = frozenset(self._speller.words(form))
                core = words - FUNCTION - self._names[region.value]
                if core:
                    yield core, part.value


def _failing(lexicon: Lexicon) -> Iterator[tuple[tuple[str, str], str]]:
    """Part and change to the kind whose name is made of both ("non healing socket")."""
    parts = {p.words: str(p.value) for p in lexicon.phrases if p.slot is Slot.SUBSITE}
    changes = {p.words: str(p.value) for p in lexicon.phrases if p.slot is Slot.CHANGE}
    for kind in lexicon.phrases:
        if kind.slot is not Slot.KIND:
            continue
        for cut in range(1, len(kind.words)):
            change, part = changes.get(kind.words[:cut]), parts.get(kind.words[cut:])
            if change is not None and part is not None:
                yield (part, change), str(kind.value)


def spot_options(spot: Spot) -> list[Option]:
    """What one spot alone may mean, forms that name the region first."""
    found: list[Option] = list(alone(spot))
    for phrase in spot.phrases:
        if phrase.slot is Slot.REGION:
            found.append((str(phrase.value), None))
        elif phrase.slot is Slot.SUBSITE:
            found += [(region, str(phrase.value)) for region in phrase.regions]
    return list(dict.fromkeys(found))


def alone(spot: Spot) -> list[tuple[str, str]]:
    """Region and part of a form that names both."""
    return [
        (str(value), str(phrase.value))
        for phrase in spot.phrases
        if phrase.slot is Slot.SUBSITE
        for slot, value in phrase.fills
        if slot is Slot.REGION
    ]


def _agree(left: Sequence[Option], right: Sequence[Option]) -> Iterator[Option]:
    for region, part in left:
        for other_region, other_part in right:
            if region != other_region:
                continue
            if part is None or other_part is None or part == other_part:
                yield region, part or other_part
