"""What became of a region, in words. Silence is never called normal."""

from __future__ import annotations

from collections.abc import Mapping

from dictate.exam.coverage import BOTH, RegionCoverage
from dictate.exam.readback import and_words


def coverage_words(each: RegionCoverage, numbers: Mapping[str, int]) -> str:
    """One line: "normal", "findings 1 and 3; left side not mentioned", "not examined: deferred".

    `numbers` maps the ids of findings to the numbers they have in the document.
    """
    parts = [_found(each, numbers), _seen(each), _left_out(each)]
    if each.unmentioned and each.examined:
        parts.append(f"{each.unmentioned} side not mentioned")
    return "; ".join(filter(None, parts))


def _found(each: RegionCoverage, numbers: Mapping[str, int]) -> str:
    found = [str(numbers[name]) for name in each.findings if name in numbers]
    if not found:
        return "normal" if each.is_normal else ""
    listed = f"{'finding' if len(found) == 1 else 'findings'} {and_words(found)}"
    return f"normal, with variants: {listed}" if each.is_normal else listed


def _seen(each: RegionCoverage) -> str:
    """What was done, side by side where the region has sides and one was not said normal."""
    if each.is_normal:
        return ""
    done = [
        _sided(each, name, sides)
        for name, sides in (
            ("called normal", each.normal),
            ("inspected", each.inspected),
            ("palpated", each.palpated),
        )
        if sides
    ]
    if done and not each.findings and not each.normal:
        done.append("not said to be normal")
    return ", ".join(done)


def _sided(each: RegionCoverage, what: str, sides: frozenset[str]) -> str:
    only = sides & BOTH
    if not each.station.paired or only == BOTH or not only:
        return what
    return f"{next(iter(only))} side {what}"


def _left_out(each: RegionCoverage) -> str:
    because = f": {each.reason}" if each.reason else ""
    if not each.examined:
        return f"not examined{because}"
    sides = each.left_out & BOTH
    if not sides:
        return ""
    where = f"{next(iter(sides))} side " if len(sides) == 1 and each.station.paired else ""
    return f"{where}not examined{because}"
