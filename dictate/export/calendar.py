"""Re-checks, and answers to ask after, as calendar entries (iCalendar, RFC 5545)."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from uuid import UUID, uuid5

from icalendar import Calendar, Event

from dictate.errors import ExportError
from dictate.exam.decisions import AWAITED
from dictate.exam.record import Record
from dictate.export.chart import Chart
from dictate.export.extras import NOTHING, Extras
from dictate.export.plain import visible

ROOT = UUID("8f6f1f4e-52c4-5d9a-b4a1-6c1c0e7c2f10")
"""Drawn once for this program: the same re-check keeps its entry when exported again."""


@dataclass(frozen=True, slots=True)
class Recheck:
    """One date to be seen again, or to ask after an answer."""

    session: str
    due: date
    why: str = ""
    finding: str | None = None
    patient: str | None = None
    """Name or identifier; put into entries only when asked for."""
    answer: bool = False
    """True if an answer is to be asked after, and nobody to be seen."""


def rechecks(session: Record, extras: Extras = NOTHING) -> list[Recheck]:
    """The dates of one session that are not settled yet, the earliest first."""
    chart = Chart(session, extras)
    who = chart.patient.name or chart.patient.identifier
    found = [
        Recheck(session.id, each.due, each.why, each.finding, who)
        for each in chart.rechecks
        if each.done is None
    ]
    found += [
        Recheck(session.id, each.due, each.decision, each.finding, who, answer=True)
        for each in chart.decisions
        if each.kind in AWAITED and each.due and not each.answered
    ]
    return sorted(found, key=lambda each: each.due)


def calendar_file(
    dates: Iterable[Recheck], *, with_patient: bool = False, stamp: datetime | None = None
) -> bytes:
    """All-day entries, marked private. `stamp`: when made, now if not given.

    Calendars are copied to telephones and servers: without `with_patient` an entry has the
    session's id alone, neither patient nor finding. Raises ExportError where there is no date: a
    calendar holds one component at least (RFC 5545, 3.6).
    """
    entries = [_entry(each, with_patient, stamp or datetime.now(UTC)) for each in dates]
    if not entries:
        raise ExportError(
            "There is no re-check and no answer to wait for, so no calendar is written."
        )
    calendar = Calendar()
    calendar.add("prodid", "-//dictate//re-checks//EN")
    calendar.add("version", "2.0")
    calendar.add("method", "PUBLISH")
    for each in entries:
        calendar.add_component(each)
    made: bytes = calendar.to_ical()
    return made


def calendar_of(session: Record, extras: Extras = NOTHING) -> bytes:
    """One session's dates, without the patient; the same session gives the same bytes.

    Raises ExportError for a draft, of which nothing is decided, and where there is no date.
    """
    if not session.is_final:
        raise ExportError(
            "A calendar needs a signed session; go through the review and sign first."
        )
    return calendar_file(rechecks(session, extras), stamp=session.events[-1].at)


def _entry(recheck: Recheck, with_patient: bool, stamp: datetime) -> Event:
    event = Event()
    key = f"{recheck.session}/{recheck.finding}/{recheck.due}" + ("/answer" * recheck.answer)
    event.add("uid", f"{uuid5(ROOT, key)}@dictate")
    event.add("dtstamp", stamp.astimezone(UTC).replace(microsecond=0))
    event.add("dtstart", recheck.due)
    event.add("dtend", recheck.due + timedelta(days=1))
    event.add("summary", _summary(recheck, with_patient))
    if with_patient and recheck.why:
        event.add("description", visible(recheck.why))
    event.add("class", "PRIVATE")
    event.add("transp", "TRANSPARENT")
    return event


def _summary(recheck: Recheck, with_patient: bool) -> str:
    who = f", {recheck.patient}" if with_patient and recheck.patient else ""
    what = "Mouth and neck: ask after an answer" if recheck.answer else "Mouth and neck re-check"
    return visible(f"{what}, session {recheck.session}{who}")
