"""`dictate audit`: who did what, when; and whether any of it was altered."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

import click

from dictate.cli.asked import IDENTIFIER
from dictate.cli.opening import open_store
from dictate.cli.options import home_option
from dictate.cli.output import note, tell_notes
from dictate.errors import StoreError
from dictate.exam.doings import doing
from dictate.exam.events import KEYBOARD, SYSTEM, VOICE
from dictate.export.plain import visible
from dictate.pipeline.opening import find
from dictate.store import trail
from dictate.store.patients import PatientBook
from dictate.store.store import Store
from dictate.store.trail import TrailEntry
from dictate.store.verifying import verify as verified

FAULTY = 1


@dataclass(frozen=True, slots=True)
class _Line:
    at: datetime
    who: str
    what: str
    session: str = ""


@click.command()
@click.option("--session", help="Only of this session: its id, or the start of it.")
@click.option("--patient", type=IDENTIFIER, help="Only of this patient (-: asked).")
@click.option("--since", type=click.DateTime(["%Y-%m-%d"]), help="Only from this day on.")
@click.option("--verify", is_flag=True, help="Check that nothing was altered, removed or moved.")
@home_option
def audit(
    session: str | None,
    patient: str | None,
    since: datetime | None,
    verify: bool,
    home: Path | None,
) -> None:
    """Print who did what and when: dictated, corrected, confirmed, signed, exported, viewed."""
    with open_store(home) as store:
        if verify:
            _verify(store)
            return
        chosen = find(store, session) if session else None
        first = since.astimezone() if since else datetime.min.replace(tzinfo=UTC)
        lines = [x for x in _lines(store, chosen, patient) if x.at >= first]
        tell_notes(store)
    for line in sorted(lines, key=lambda each: each.at):
        at = line.at.astimezone().strftime("%Y-%m-%d %H:%M:%S")
        click.echo(visible(f"{at}  {line.who}  {line.what}  {line.session}".rstrip()))


def _verify(store: Store) -> None:
    found = verified(store.untouched(), store.folder)
    if found.faults:
        for fault in found.faults:
            click.echo(visible(fault))
        sys.exit(FAULTY)
    click.echo(f"{found.entries} entries verified")


def _lines(store: Store, session: str | None, patient: str | None) -> Iterator[_Line]:
    for entry in store.list():
        wanted = session in (None, entry.id) and patient in (None, entry.patient)
        if wanted:
            yield from _of_session(store, entry.id)
    database = store.database()
    marks = {trail.mark_of(database.sealer, each.id): each.id for each in PatientBook(store).all()}
    with database.transaction("read the audit trail") as transaction:
        for each in trail.entries(transaction, database.sealer):
            whose = marks.get(each.patient or "")
            about = session in (None, each.session) and patient in (None, whose)
            if about and each.action != "anchored":
                yield _Line(each.at, _actor(each), _told(each, whose), each.session or "")


def _of_session(store: Store, session_id: str) -> Iterator[_Line]:
    """A clock that was set back does not change the order of what was done."""
    try:
        events = store.load(session_id).events
    except StoreError as error:
        note(str(error))
        return
    latest = events[0].at
    for event in events:
        latest = max(latest, event.at)
        done = doing(event)
        set_back = f" (clock: {event.at:%Y-%m-%d %H:%M:%S} UTC)" if event.at < latest else ""
        words = f"{done.verb} {done.words}".strip() + set_back
        unnamed = event.actor in (VOICE, KEYBOARD, SYSTEM)
        who = f"[{event.actor}]" if unnamed else event.actor
        yield _Line(latest, who, words, session_id)


def _actor(entry: TrailEntry) -> str:
    return entry.actor or f"[login {entry.login or 'unknown'}]"


def _told(entry: TrailEntry, patient: str | None) -> str:
    whose = f"patient {patient or 'who was erased, or is not known'}" if entry.patient else ""
    person = " ".join(filter(None, (entry.name, f"({entry.role})" if entry.role else "")))
    return " ".join(filter(None, (entry.action, person, whose, entry.detail)))
