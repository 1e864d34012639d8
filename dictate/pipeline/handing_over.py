"""All that is kept of one patient, as files for the patient or another clinic."""

from __future__ import annotations

import csv
from collections.abc import Iterator
from io import StringIO

from dictate.exam.patients import Patient
from dictate.exam.session import Session
from dictate.export.audit_csv import safe_cell
from dictate.export.extras import DecisionLine
from dictate.export.formats import WRITERS
from dictate.pipeline.clinic import Clinic

FORMATS = ("json", "text", "pdf")
COLUMNS = ("session", "date", "by", "finding", "decision", "reason")


def files_of(clinic: Clinic, patient: Patient) -> Iterator[tuple[str, bytes]]:
    """Names and contents: who it is, every session as data and as a chart note, all decisions.

    Raises StoreError when a session cannot be read: what is handed over is whole.
    """
    yield "patient.json", f"{patient.model_dump_json(indent=2)}\n".encode()
    rows: list[tuple[str, ...]] = []
    for entry in reversed(clinic.sessions(patient.id)):
        session = clinic.record(entry.id)
        extras, _ = clinic.extras(session)
        for name in FORMATS:
            document = WRITERS[name](session, extras)
            content = document.encode() if isinstance(document, str) else document
            yield f"{entry.id}.{WRITERS[name].ending}", content
        rows += (_row(session, each) for each in extras.decisions)
    yield "decisions.csv", _table(rows).encode()


def _row(session: Session, line: DecisionLine) -> tuple[str, ...]:
    on = line.on or session.examined_on
    return (session.id, str(on), line.by, line.finding or "", line.decision, line.reason)


def _table(rows: list[tuple[str, ...]]) -> str:
    out = StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    writer.writerows([safe_cell(cell) for cell in row] for row in rows)
    return out.getvalue()
