"""What became of each region of the protocol. A region of which nothing was said is not normal."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal, get_args

from dictate.exam.commands import RegionState
from dictate.exam.finding import BOTH as BOTH
from dictate.exam.finding import Finding, FindingFields, sides_meet
from dictate.exam.lesions import Lesion
from dictate.exam.protocol import Station
from dictate.exam.state import State

Status = Literal["findings", "normal", "examined", "partly", "not examined"]
STATES: tuple[RegionState, ...] = get_args(RegionState)


@dataclass(frozen=True, slots=True)
class RegionCoverage:
    """One region: what was said of it, side by side where it has sides."""

    station: Station
    inspected: frozenset[str]
    """Sides inspected; both for a region without sides or when no side was said."""
    palpated: frozenset[str]
    normal: frozenset[str]
    findings: tuple[str, ...]
    """Ids of the findings there, normal variants included."""
    abnormal: tuple[str, ...]
    """Ids of those that are no normal variant."""
    left_out: frozenset[str]
    """Sides said not to have been examined."""
    mentioned: frozenset[str]
    """Sides that anything was said of."""
    contradicting: tuple[str, ...]
    """Ids of abnormal findings on a side that was called normal."""
    reason: str | None = None
    acknowledged: bool = False
    """True if it was said, or accepted in the review, that it was not examined."""

    @property
    def region(self) -> str:
        return self.station.region

    @property
    def examined(self) -> bool:
        """True if anything was seen, felt or found there, on one side at least."""
        return bool(self.inspected or self.palpated or self.normal or self.findings)

    @property
    def status(self) -> Status:
        """The one word that says most; a finding outweighs a "normal"."""
        if self.findings and (self.abnormal or not self.is_normal):
            return "findings"
        if self.is_normal:
            return "normal"
        if not self.examined:
            return "not examined"
        seen = self.inspected | self.palpated | self.normal
        return "examined" if seen >= BOTH or not self.station.paired else "partly"

    @property
    def unmentioned(self) -> str | None:
        """The side of a paired region left out while the other was described, if any.

        Both halves are compared in the examination (common practice, no source).
        """
        rest = BOTH - self.mentioned
        return next(iter(rest)) if self.station.paired and len(rest) == 1 else None

    @property
    def one_sided(self) -> str:
        """That only one side was described, in a sentence; "" where both were, or none."""
        other = self.unmentioned
        if other is None:
            return ""
        told = "right" if other == "left" else "left"
        return f"Of the {self.region} only the {told} side was mentioned, not the {other}."

    @property
    def is_normal(self) -> bool:
        """True if both sides were called normal and no abnormal finding is there."""
        return self.normal >= BOTH and not self.abnormal


def coverage(state: State) -> tuple[RegionCoverage, ...]:
    """All regions in the order of the protocol, then trimmed ones of which something was said."""
    asked = tuple(region_coverage(station, state) for station in state.protocol.stations)
    more = (region_coverage(station, state) for station in state.protocol.trimmed)
    return (*asked, *(each for each in more if each.examined or each.left_out))


def region_coverage(station: Station, state: State) -> RegionCoverage:
    """One region as it stands."""
    here = tuple(each for each in state.findings if each.region == station.region)
    gone = (each.fields for each in _resolved(state) if each.fields.region == station.region)
    said, reason = _said(station, state)
    normal, left_out = said["normal"], said["not_examined"]
    return RegionCoverage(
        station=station,
        inspected=said["inspected"],
        palpated=said["palpated"],
        normal=normal,
        findings=tuple(each.id for each in here),
        abnormal=tuple(each.id for each in here if not each.normal_variant),
        left_out=left_out,
        mentioned=frozenset().union(*said.values(), *map(_sides_of, (*here, *gone))),
        contradicting=tuple(
            each.id
            for each in here
            if not each.normal_variant and any(meets(side, each) for side in normal)
        ),
        reason=reason if left_out else state.acknowledged.get(station.region),
        acknowledged=left_out >= BOTH or station.region in state.acknowledged,
    )


def meets(side: str | None, finding: Finding) -> bool:
    """True if the finding lies, or may lie, on that side; no side or both: anywhere."""
    return sides_meet(side, finding.side)


def abnormal_at(state: State, region: str, side: str | None) -> tuple[Finding, ...]:
    """Findings of that region and side that are no normal variant."""
    return tuple(
        each
        for each in state.findings
        if each.region == region and not each.normal_variant and meets(side, each)
    )


def _resolved(state: State) -> Iterator[Lesion]:
    """Lesions of earlier visits that were said to be gone."""
    return (each for each in state.following.lesions if each.id in state.following.resolved)


def _sides_of(finding: FindingFields) -> frozenset[str]:
    return BOTH if finding.side == "bilateral" else frozenset(filter(None, [finding.side]))


def _said(station: Station, state: State) -> tuple[dict[RegionState, frozenset[str]], str | None]:
    """Sides by what was said of them, the later statement counting, and the last reason why not.

    A side that was examined is not "not examined", and the other way round.
    """
    said: dict[RegionState, frozenset[str]] = dict.fromkeys(STATES, frozenset())
    reason = None
    for (region, what, side), mark in state.marks.items():
        if region != station.region:
            continue
        sides = BOTH if side in (None, "bilateral") or not station.paired else frozenset({side})
        for other in STATES:
            if (what == "not_examined") != (other == "not_examined"):
                said[other] -= sides
        said[what] |= sides
        reason = mark.reason or reason if what == "not_examined" else reason
    return said, reason
