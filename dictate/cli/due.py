"""`dictate due`: who is to be seen again, and whose answer is missing."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import asdict
from datetime import date, datetime
from pathlib import Path

import click

from dictate.cli.files import put
from dictate.cli.opening import open_store
from dictate.cli.options import home_option, json_option
from dictate.cli.output import note, print_json
from dictate.exam.worklist import DueRow
from dictate.export.plain import visible
from dictate.export.worklist import worklist_calendar, worklist_csv
from dictate.store.worklist import Worklist


@click.command()
@click.option(
    "--today",
    type=click.DateTime(["%Y-%m-%d"]),
    help="The day to look from [default: today].",
)
@click.option(
    "--csv", "csv_file", type=click.Path(path_type=Path), help='CSV file to write ("-": stdout).'
)
@click.option(
    "--ics",
    "ics_file",
    type=click.Path(path_type=Path),
    help='iCalendar file to write ("-": stdout); without names unless --with-patient.',
)
@click.option("--with-patient", is_flag=True, help="Put patients into the calendar's entries.")
@json_option
@home_option
def due(
    today: datetime | None,
    csv_file: Path | None,
    ics_file: Path | None,
    with_patient: bool,
    as_json: bool,
    home: Path | None,
) -> None:
    """Show the worklist: overdue, due this week, awaiting an answer, later."""
    if sum(map(bool, (csv_file, ics_file, as_json))) > 1:
        raise click.UsageError("Choose one of --csv, --ics and --json.")
    if with_patient and not ics_file:
        raise click.UsageError("--with-patient is for --ics.")
    day = today.date() if today else date.today()
    with open_store(home) as store:
        worklist = Worklist(store)
        rows = worklist.due(day)
        store.note("exported" if csv_file or ics_file else "listed", detail="worklist")
        for line in (*store.notes, *worklist.problems.values()):
            note(line)
    if csv_file:
        put(worklist_csv(rows).encode(), csv_file)
    elif ics_file:
        put(worklist_calendar(rows, with_patient=with_patient), ics_file)
    elif as_json:
        print_json({"today": str(day), "due": [_document(row) for row in rows]})
    elif rows:
        for line in _shown(rows):
            click.echo("\n".join(map(visible, line.split("\n"))))
    else:
        click.echo("Nothing is due, and no answer is missing.")


def _document(row: DueRow) -> dict[str, object]:
    values = {
        name: str(value) if isinstance(value, date) else value
        for name, value in asdict(row).items()
    }
    return {**values, "does": row.does}


def _shown(rows: Iterable[DueRow]) -> Iterator[str]:
    """A block a status, two lines a row: a screen reader reads it as it stands."""
    status = None
    for row in rows:
        if row.status != status:
            yield ("" if status is None else "\n") + row.status.upper()
            status = row.status
        late = f" ({row.late_days} d late)" if row.late_days else ""
        patient = " ".join(filter(None, (row.patient or "no patient", row.name)))
        yield f"  {row.due or ''}{late}  {patient}  {row.lesion} {row.place}: {row.does}"
        if row.reason:
            yield f"    {row.reason} (decided {row.decided_on} by {row.by or 'nobody'})"
