"""`dictate list` and `dictate show`: what is kept."""

from __future__ import annotations

from pathlib import Path

import click
from rich.console import Console
from rich.table import Table
from rich.text import Text

from dictate.cli.opening import open_store, tell_if_bare
from dictate.cli.options import home_option, json_option
from dictate.cli.output import print_json, print_summary, tell_notes
from dictate.cli.people import tell_if_anyone_signs
from dictate.exam.contract import session_document
from dictate.pipeline.opening import find
from dictate.store.entry import Entry


@click.command("list")
@json_option
@home_option
def list_sessions(as_json: bool, home: Path | None) -> None:
    """List the sessions that are kept, the latest first."""
    with open_store(home) as store:
        entries = store.list()
        store.note("listed", detail="sessions")
        tell_notes(store)
        tell_if_anyone_signs(store)
        tell_if_bare(store.home)
    if as_json:
        print_json({"sessions": [each.model_dump(mode="json") for each in entries]})
    elif entries:
        Console().print(_table(entries))
    else:
        click.echo("There is no session yet; `dictate exam` begins one.")


def _table(entries: tuple[Entry, ...]) -> Table:
    table = Table("session", "begun", "state", "examiner", "patient", box=None)
    for each in entries:
        state = "final" if each.state == "final" else "draft"
        if each.version > 1:
            state += f", version {each.version}"
        begun = each.created.astimezone().strftime("%Y-%m-%d %H:%M")
        cells = (each.id, begun, state, each.examiner or "", each.patient or "")
        table.add_row(*(Text(cell) for cell in cells))
    return table


@click.command()
@click.argument("session")
@json_option
@home_option
def show(session: str, as_json: bool, home: Path | None) -> None:
    """Show a SESSION: an id, the start of one, or "latest"."""
    with open_store(home) as store:
        found = store.load(find(store, session))
        store.note("viewed", session=found.id, patient=found.patient)
        tell_notes(store)
    if as_json:
        print_json(session_document(found))
    else:
        print_summary(found)
