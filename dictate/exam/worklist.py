"""Who is to be seen again, and whose answer is missing: computed from lesions, for one day."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal, get_args

from dictate.exam.decisions import TITLES, DecisionKind
from dictate.exam.lesions import Lesion, Plan
from dictate.exam.readback import finding_words, place_words

DueStatus = Literal["overdue", "due this week", "awaiting", "later"]
STATUSES: tuple[DueStatus, ...] = get_args(DueStatus)
"""In the order of the worklist."""
WEEK = timedelta(days=7)
""" "This week" is today and the seven days after it: on a Friday, Monday counts too
(common practice, no source)."""


@dataclass(frozen=True, slots=True)
class DueRow:
    """One line of the worklist."""

    status: DueStatus
    due: date | None
    """The day of the re-check, or the day when a missing answer is asked after."""
    late_days: int
    """How many days `due` is past; 0 if it is not."""
    patient: str | None
    lesion: str
    """Its label, "L2"."""
    lesion_id: str
    place: str
    words: str
    """The lesion as described last, in a sentence."""
    decision: DecisionKind
    reason: str
    decided_on: date
    by: str
    session: str
    """Where it was decided."""
    finding: str | None = None
    """The finding it was decided on there; None where the lesion was not described."""
    name: str | None = None
    """The patient's, where the clinic keeps names."""

    @property
    def does(self) -> str:
        """What is to be done: "re-check", "ask after the answer (biopsy advised)"."""
        if self.status == "awaiting":
            return f"ask after the answer ({TITLES[self.decision]})"
        return TITLES[self.decision]


@dataclass(frozen=True, slots=True)
class Completed:
    """A date that was set, and when what it was set for was done; for the audit."""

    patient: str | None
    lesion: str
    decision: DecisionKind
    due: date
    done: date

    @property
    def in_time(self) -> bool:
        return self.done <= self.due


def due(lesions: Iterable[Lesion], today: date) -> tuple[DueRow, ...]:
    """The worklist of that day: overdue first, then this week, unanswered, and later."""
    rows = [row for lesion in lesions for row in _rows(lesion, today)]
    return tuple(sorted(rows, key=_order))


def _order(row: DueRow) -> tuple[int, date, str, str]:
    return STATUSES.index(row.status), row.due or date.max, row.patient or "", row.lesion


def _rows(lesion: Lesion, today: date) -> Iterator[DueRow]:
    """An answer is awaited also of a lesion that is gone: it may have been taken out."""
    if lesion.awaited:
        yield _row(lesion, lesion.awaited[0], "awaiting", today)
    plan = lesion.plan
    if plan is None or plan.decision.decision != "recheck" or lesion.state == "resolved":
        return
    if plan.decision.due is not None:
        yield _row(lesion, plan, _when(plan.decision.due, today), today)


def _when(day: date, today: date) -> DueStatus:
    if day < today:
        return "overdue"
    return "due this week" if day <= today + WEEK else "later"


def _row(lesion: Lesion, plan: Plan, status: DueStatus, today: date) -> DueRow:
    day = plan.decision.due
    return DueRow(
        status=status,
        due=day,
        late_days=max(0, (today - day).days) if day else 0,
        patient=lesion.patient,
        lesion=lesion.label,
        lesion_id=lesion.id,
        place=place_words(lesion.fields),
        words=finding_words(lesion.fields),
        decision=plan.decision.decision,
        reason=plan.decision.reason,
        decided_on=plan.on,
        by=plan.by,
        session=plan.session,
        finding=plan.finding,
    )


def completed(lesions: Iterable[Lesion]) -> tuple[Completed, ...]:
    """Every date that was set and has been met, early or late."""
    return tuple(each for lesion in lesions for each in _completed(lesion))


def _completed(lesion: Lesion) -> Iterator[Completed]:
    for plan in lesion.plans:
        day, done = plan.decision.due, _done(lesion, plan)
        if day is not None and done is not None:
            kind = plan.decision.decision
            yield Completed(lesion.patient, lesion.label, kind, day, done)


def _done(lesion: Lesion, plan: Plan) -> date | None:
    if plan.decision.decision != "recheck":
        return plan.answered_on
    looked = (each.on for each in lesion.sightings if each.what != "not looked at")
    return next((day for day in looked if day > lesion.since(plan)), None)
