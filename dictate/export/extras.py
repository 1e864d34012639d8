"""What documents tell beyond the session itself: the patient, earlier visits, decisions.

Plain values, so that documents depend on no rule of follow-up; empty unless somebody gives them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date


@dataclass(frozen=True, slots=True)
class PatientDetails:
    """Who was examined. None: not known."""

    identifier: str | None = None
    """The clinic's own."""
    name: str | None = None
    birth_year: int | None = None


@dataclass(frozen=True, slots=True)
class SizePoint:
    """A size at one visit, in mm, in the order spoken."""

    on: date
    size_mm: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class PromptLine:
    """A rule that a finding meets, worded as a prompt to the clinician."""

    text: str
    source: str
    """The published guidance."""
    finding: str | None = None
    """Id of the finding."""
    urgent: bool = False


@dataclass(frozen=True, slots=True)
class DecisionLine:
    """What a clinician decided, and why."""

    decision: str
    reason: str = ""
    finding: str | None = None
    by: str = ""
    on: date | None = None
    kind: str = ""
    """"recheck", "refer", "biopsy" or "no_action", for the patient's page; "" for others."""
    due: date | None = None
    """The day of the re-check, or the day when a missing answer is asked after."""
    answered: date | None = None
    """When the answer came; None: not yet, or none is awaited."""


@dataclass(frozen=True, slots=True)
class RecheckLine:
    """A date by which a finding is looked at again."""

    due: date
    why: str = ""
    finding: str | None = None
    done: date | None = None
    """When it was looked at again; None: not yet."""


@dataclass(frozen=True, slots=True)
class RiskLine:
    """One part of the risk history, in words."""

    topic: str
    words: str


@dataclass(frozen=True, slots=True)
class EarlierLine:
    """A lesion of an earlier visit, and what became of it."""

    words: str
    first_seen: date | None = None
    now: str = ""
    """"resolved", "smaller", "not looked at today" and the like."""
    finding: str | None = None
    """Id of today's finding of it."""
    before: tuple[str, ...] = ()
    """How it was described then: the first time, and last time where that differs."""


@dataclass(frozen=True, slots=True)
class Extras:
    """All of it; every part may be empty."""

    patient: PatientDetails | None = None
    sizes: Mapping[str, tuple[SizePoint, ...]] = field(default_factory=dict)
    """By the finding's id, all visits, this one included."""
    prompts: tuple[PromptLine, ...] = ()
    decisions: tuple[DecisionLine, ...] = ()
    rechecks: tuple[RecheckLine, ...] = ()
    risks: tuple[RiskLine, ...] = ()
    earlier: tuple[EarlierLine, ...] = ()


NOTHING = Extras()
