"""Comparing a recorded finding with what was meant, slot by slot."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import permutations

from dictate.bench.outcome import Recorded
from dictate.exam.finding import FindingFields
from dictate.vocabulary.schema import Lexicon

SLOTS = (
    "region", "subsite", "side", "kind", "count", "distribution", "size_mm", "colours", "surface",
    "borders", "consistency", "mobility", "tender", "attachment", "wipes_off", "symptoms",
    "denied_symptoms", "change", "duration_days", "normal_variant", "node_level",
)  # fmt: skip
"""Every field that is judged; a note keeps left-over words and has no right or wrong."""
CRITICAL_SLOTS = ("side", "site", "size")
_FIELDS = {"side": ("side",), "site": ("region", "subsite"), "size": ("size_mm",)}
_LISTS = ("colours", "surface", "borders", "consistency", "symptoms", "denied_symptoms")
Values = frozenset[object]


@dataclass(slots=True)
class Tally:
    """Hits, false alarms and misses of one slot."""

    hits: int = 0
    false: int = 0
    missed: int = 0

    def add(self, meant: Values, got: Values) -> None:
        self.hits += len(meant & got)
        self.false += len(got - meant)
        self.missed += len(meant - got)

    def merge(self, other: Tally) -> None:
        self.hits += other.hits
        self.false += other.false
        self.missed += other.missed

    @property
    def precision(self) -> float | None:
        return _share(self.hits, self.hits + self.false)

    @property
    def recall(self) -> float | None:
        return _share(self.hits, self.hits + self.missed)

    @property
    def f1(self) -> float | None:
        """Twice the hits over all that was meant and all that was recorded; None if neither."""
        return _share(2 * self.hits, 2 * self.hits + self.false + self.missed)


@dataclass(slots=True)
class Critical:
    """What became of the values of one critical slot."""

    judged: int = 0
    """Slots that were meant, recorded or asked about."""
    flagged: int = 0
    """Slots that a person will be asked about, right or wrong."""
    flagged_unsaid: int = 0
    """Of these, slots of which nothing was said and nothing recorded: a side left out."""
    flagged_errors: int = 0
    silent_errors: int = 0
    """Wrong, and nobody will be asked: the worst there is."""

    def add(self, wrong: bool, flagged: bool, unsaid: bool = False) -> None:
        self.judged += 1
        self.flagged += flagged
        self.flagged_unsaid += flagged and unsaid
        self.flagged_errors += wrong and flagged
        self.silent_errors += wrong and not flagged

    def merge(self, other: Critical) -> None:
        self.judged += other.judged
        self.flagged += other.flagged
        self.flagged_unsaid += other.flagged_unsaid
        self.flagged_errors += other.flagged_errors
        self.silent_errors += other.silent_errors


class Places:
    """Knows which parts are single, so that "midline" there says nothing new."""

    def __init__(self, lexicon: Lexicon) -> None:
        self._single = {
            (region.value, part.value)
            for region in lexicon.regions
            for part in region.subsites
            if part.midline or not region.paired
        }
        self._unpaired = {region.value for region in lexicon.regions if not region.paired}

    def values(self, fields: FindingFields, slot: str) -> Values:
        """The values of one slot; empty when it was not said (or says nothing)."""
        value = getattr(fields, slot)
        if slot == "size_mm":
            return frozenset({tuple(round(each, 3) for each in value)}) if value else frozenset()
        if slot in _LISTS:
            return frozenset(value)
        if slot == "side" and value == "midline" and self._is_single(fields):
            return frozenset()
        # One is what "a" says; a plural noun says "multiple" without being a slot of its own.
        if (slot, value) in {("count", 1), ("distribution", "single")}:
            return frozenset()
        return frozenset() if value is None else frozenset({value})

    def critical(self, fields: FindingFields, slot: str) -> tuple[Values, ...]:
        """The values of a critical slot: of the site, region and sub-site together."""
        return tuple(self.values(fields, name) for name in _FIELDS[slot])

    def _is_single(self, fields: FindingFields) -> bool:
        if fields.region in self._unpaired:
            return True
        return (fields.region, fields.subsite) in self._single


def compare(places: Places, meant: FindingFields, got: FindingFields) -> dict[str, Tally]:
    """Hits, false alarms and misses of each slot between two findings."""
    result = {}
    for slot in SLOTS:
        tally = Tally()
        said, heard = places.values(meant, slot), places.values(got, slot)
        if slot == "distribution" and not said:
            heard -= {"multiple"}
        tally.add(said, heard)
        result[slot] = tally
    return result


def paired(
    places: Places, meant: tuple[FindingFields, ...], got: list[Recorded]
) -> list[tuple[FindingFields | None, Recorded | None]]:
    """Findings meant and recorded, matched so that most slots agree; left-overs with None."""
    if not meant or not got:
        return [*((m, None) for m in meant), *((None, g) for g in got)]
    few, many = sorted((len(meant), len(got)))
    best: tuple[int, list[tuple[int, int]]] = (-1, [])
    for order in permutations(range(many), few):
        pairs = [(i, j) if few == len(meant) else (j, i) for i, j in enumerate(order)]
        score = sum(_alike(places, meant[i], got[j].fields) for i, j in pairs)
        if score > best[0]:
            best = (score, pairs)
    used_meant, used_got = {i for i, _ in best[1]}, {j for _, j in best[1]}
    return [
        *((meant[i], got[j]) for i, j in best[1]),
        *((m, None) for i, m in enumerate(meant) if i not in used_meant),
        *((None, g) for j, g in enumerate(got) if j not in used_got),
    ]


def is_flagged(recorded: Recorded, slot: str) -> bool:
    """True if a person will be asked about that critical slot before signing."""
    return any(name in recorded.doubted for name in _FIELDS[slot])


def _alike(places: Places, meant: FindingFields, got: FindingFields) -> int:
    return sum(tally.hits for tally in compare(places, meant, got).values())


def _share(part: int, whole: int) -> float | None:
    return part / whole if whole else None
