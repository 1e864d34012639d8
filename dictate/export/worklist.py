"""The worklist as a table and as a calendar, for those who plan a clinic's days elsewhere."""

from __future__ import annotations

import csv
from collections.abc import Callable, Iterable, Mapping, Sequence
from io import StringIO
from types import MappingProxyType

from dictate.exam.worklist import DueRow
from dictate.export.audit_csv import safe_cell
from dictate.export.calendar import Recheck, calendar_file

COLUMNS = (
    "status",
    "due",
    "days_late",
    "patient",
    "name",
    "lesion",
    "place",
    "finding",
    "to_do",
    "reason",
    "decided_on",
    "decided_by",
    "session",
)
Rows = Iterable[DueRow]


def worklist_csv(rows: Rows) -> str:
    """The worklist as CSV with a heading line; cells cannot act as formulas."""
    out = StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    writer.writerows([safe_cell(cell) for cell in _cells(row)] for row in rows)
    return out.getvalue()


def worklist_calendar(rows: Rows, *, with_patient: bool = False) -> bytes:
    """One all-day entry a line that has a day; without patients and places unless asked for.

    Raises ExportError where no line has one.
    """
    entries = [
        Recheck(
            session=row.session,
            due=row.due,
            why=f"{row.does}: {row.place}",
            finding=row.finding or row.lesion_id,
            patient=row.name or row.patient,
            answer=row.status == "awaiting",
        )
        for row in rows
        if row.due is not None
    ]
    return calendar_file(entries, with_patient=with_patient)


LIST_WRITERS: Mapping[str, Callable[[Rows], str | bytes]] = MappingProxyType(
    {"csv": worklist_csv, "ics": worklist_calendar}
)
"""By the ending of the file's name."""


def _cells(row: DueRow) -> Sequence[str | int]:
    return (
        row.status,
        str(row.due or ""),
        row.late_days,
        row.patient or "",
        row.name or "",
        row.lesion,
        row.place,
        row.words,
        row.does,
        row.reason,
        str(row.decided_on),
        row.by,
        row.session,
    )
