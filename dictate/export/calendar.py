"""Re-check dates as calendar entries (iCalendar, RFC 5545)."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from uuid import UUID, uuid5

from icalendar import Calendar, Event

from dictate.errors import ExportError
from dictate.exam.record import Record
from dictate.export.chart import Chart
from dictate.export.extras import NOTHING, Extras
from dictate.export.plain import visible

ROOT = UUID("8f6f1f4e-52c4-5d9a-b4a1-6c1c0e7c2f10")
"""Drawn once for this program: the same re-check keeps its entry when exported again."""


@dataclass(frozen=True, slots=True)
class Recheck:
    """One date to be seen again."""

    session: str
    due: date
    why: str = ""
    finding: str | None = None
    patient: str | None = None
    """Name or identifier; put into entries only when asked for."""


def rechecks(session: Record, extras: Extras = NOTHING) -> list[Recheck]:
    """The dates of one session that are not settled yet, the earliest first."""
    who = Chart(session, extras).patient
    waiting = [each for each in extras.rechecks if each.done is None]
    return [
        Recheck(session.id, each.due, each.why, each.finding, who.name or who.identifier)
        for each in sorted(waiting, key=lambda line: line.due)
    ]


def calendar_file(
    dates: Iterable[Recheck], *, with_patient: bool = False, stamp: datetime | None = None
) -> bytes:
    """All-day entries, marked private. `stamp`: when made, now if not given.

    Calendars are copied to telephones and servers: without `with_patient` an entry has the
    session's id alone, neither patient nor finding.
    """
    calendar = Calendar()
    calendar.add("prodid", "-//dictate//re-checks//EN")
    calendar.add("version", "2.0")
    calendar.add("method", "PUBLISH")
    for each in dates:
        calendar.add_component(_entry(each, with_patient, stamp or datetime.now(UTC)))
    made: bytes = calendar.to_ical()
    return made


def calendar_of(session: Record, extras: Extras = NOTHING) -> bytes:
    """One session's dates, without the patient; the same session gives the same bytes.

    Raises ExportError for a draft: nothing is decided before it is signed.
    """
    if not session.is_final:
        raise ExportError(
            "A calendar needs a signed session; go through the review and sign first."
        )
    return calendar_file(rechecks(session, extras), stamp=session.events[-1].at)


def _entry(recheck: Recheck, with_patient: bool, stamp: datetime) -> Event:
    event = Event()
    key = f"{recheck.session}/{recheck.finding}/{recheck.due}"
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
    return visible(f"Mouth and neck re-check, session {recheck.session}{who}")
