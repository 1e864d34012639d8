"""A region's state as a mark: symbol, word and style, and the sides it holds for."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable

from dictate.exam.coverage import BOTH, RegionCoverage
from dictate.tui.plain import visible
from dictate.tui.wording import REGION_MARKS, Mark, counted


def mark_of(here: RegionCoverage) -> tuple[Mark, str]:
    """The mark of the region, and its state in words ("2 findings", "felt, right only")."""
    if here.status == "findings":
        return REGION_MARKS["finding"], counted(len(here.findings), "finding")
    if here.status == "normal":
        return REGION_MARKS["normal"], "normal"
    if here.examined:
        return _looked(here)
    if here.acknowledged:
        return REGION_MARKS["not_examined"], f"not examined{_reason(here)}"
    return REGION_MARKS["waiting"], "waiting"


def tally(coverage: Iterable[RegionCoverage]) -> list[tuple[Mark, int]]:
    """How many regions carry each mark, marks without any left out."""
    counts = Counter(mark_of(here)[0] for here in coverage)
    return [(mark, counts[mark]) for mark in REGION_MARKS.values() if counts[mark]]


def _looked(here: RegionCoverage) -> tuple[Mark, str]:
    seen, felt = here.inspected | here.normal, here.palpated | here.normal
    if here.normal and not (here.inspected or here.palpated):
        name, sides = "partly", here.normal
    else:
        name = "both" if seen and felt else "palpated" if felt else "inspected"
        sides = seen | felt
    mark = REGION_MARKS[name]
    return mark, f"{mark.word}{_sides(here, sides)}"


def _sides(here: RegionCoverage, sides: frozenset[str]) -> str:
    if not here.station.paired or sides >= BOTH or not sides:
        return ""
    return f", {' and '.join(sorted(sides))} only"


def _reason(here: RegionCoverage) -> str:
    return f": {visible(here.reason)}" if here.reason else ""
