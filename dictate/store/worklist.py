"""Visits, lesions and the worklist, computed from the signed sessions.

What a session says for later is kept beside it, so that a clinic of thousands of sessions need not
read them all; it is computed anew where it is missing, older than the session, or of an old form.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import date

from pydantic import ValidationError
from sqlalchemy import delete, select

from dictate.errors import ExamError, StoreError
from dictate.exam.lesion_history import lesions as folded
from dictate.exam.lesions import Lesion
from dictate.exam.patients import Patient
from dictate.exam.visits import FORM, Visit, visit_of
from dictate.exam.worklist import Completed, DueRow, completed, due
from dictate.store.patients import PatientBook
from dictate.store.sealing import SealError
from dictate.store.store import Store
from dictate.store.tables import SessionRow, VisitRow


@dataclass(frozen=True, slots=True)
class PatientEntry:
    """A patient in the list of patients."""

    patient: Patient
    visits: int
    last_visit: date | None
    open_lesions: int
    next: DueRow | None
    """The most pressing line of the worklist."""


class Worklist:
    """What all signed sessions amount to. Raises StoreError when the database fails.

    A session that cannot be read is told in `problems`; it is passed over in lists of the whole
    clinic, and never in what concerns its own patient.
    """

    def __init__(self, store: Store) -> None:
        self._store = store
        self.problems: dict[str, str] = {}
        """Session id to why it cannot be read."""

    def visits(self, patient: str | None = None) -> tuple[Visit, ...]:
        """Signed visits, of one patient or of all, in order of time."""
        found = self._current(patient)
        return tuple(sorted(found, key=lambda each: (each.on, each.signed, each.session)))

    def lesions(self, patient: str) -> tuple[Lesion, ...]:
        """All lesions of a patient, by number. StoreError if one session cannot be read."""
        visits = self.visits(patient)
        if self.problems:
            raise StoreError(next(iter(self.problems.values())))
        return folded(visits)

    def open_lesions(self, patient: str) -> tuple[Lesion, ...]:
        """Those that are not resolved."""
        return tuple(each for each in self.lesions(patient) if each.state == "open")

    def all_lesions(self) -> tuple[Lesion, ...]:
        """Of all patients. A session without a patient stands for one of its own."""
        return tuple(
            lesion for visits in _by_patient(self.visits()).values() for lesion in folded(visits)
        )

    def due(self, today: date) -> tuple[DueRow, ...]:
        """The worklist of that day."""
        return self._named(due(self.all_lesions(), today))

    def completed(self) -> tuple[Completed, ...]:
        """Every date that was set and has been met, early or late."""
        return completed(self.all_lesions())

    def patients(
        self,
        text: str = "",
        *,
        since: date | None = None,
        until: date | None = None,
        today: date | None = None,
    ) -> tuple[PatientEntry, ...]:
        """Patients whose identifier or name holds the text, with a visit in that time if given."""
        visits = _by_patient(self.visits())
        entries = (
            _entry(each, visits.get(each.id, []), today or date.today())
            for each in PatientBook(self._store).find(text)
        )
        if since is None and until is None:
            return tuple(entries)
        first, last = since or date.min, until or date.max
        seen = {k for k, each in visits.items() if any(first <= v.on <= last for v in each)}
        return tuple(each for each in entries if each.patient.id in seen)

    def rebuild(self) -> int:
        """Compute everything anew; how many visits that made."""
        with self._store.database().transaction("compute anew", writing=True) as transaction:
            transaction.execute(delete(VisitRow))
        return len(self.visits())

    # Within

    def _named(self, rows: Iterable[DueRow]) -> tuple[DueRow, ...]:
        names = {each.id: each.name for each in PatientBook(self._store).all()}
        return tuple(replace(row, name=names.get(row.patient or "")) for row in rows)

    def _current(self, patient: str | None) -> list[Visit]:
        """The kept visits that still hold, and the others computed anew."""
        self.problems = {}
        with self._store.database().transaction("read the visits") as transaction:
            wanted = select(SessionRow.id, SessionRow.version).where(SessionRow.state == "final")
            rows = select(VisitRow)
            if patient is not None:
                wanted = wanted.where(SessionRow.patient == patient)
                rows = rows.where(VisitRow.patient == patient)
            versions = {str(name): int(version) for name, version in transaction.execute(wanted)}
            kept: dict[str, Visit | None] = {}
            with suppress(SealError):  # one that was altered: all are computed anew
                kept = {row.session_id: _kept(row) for row in transaction.scalars(rows)}
        found: list[Visit] = []
        new: list[Visit] = []
        for name, version in versions.items():
            visit = kept.get(name)
            if visit is None or visit.version != version:
                visit = self._computed(name)
                new += [visit] if visit else []
            found += [visit] if visit else []
        self._keep(new)
        return found

    def _computed(self, session_id: str) -> Visit | None:
        try:
            return visit_of(self._store.load(session_id))
        except (StoreError, ExamError) as error:
            self.problems[session_id] = str(error)
            return None

    def _keep(self, visits: Iterable[Visit]) -> None:
        """Keep what was computed; if that fails, it is computed again the next time."""
        rows = [_row(each) for each in visits]
        if rows:
            with suppress(StoreError):
                database = self._store.database()
                with database.transaction("keep the visits", writing=True) as transaction:
                    names = [row.session_id for row in rows]
                    transaction.execute(delete(VisitRow).where(VisitRow.session_id.in_(names)))
                    transaction.add_all(rows)


def _row(visit: Visit) -> VisitRow:
    return VisitRow(
        session_id=visit.session,
        patient=visit.patient,
        version=visit.version,
        form=FORM,
        visit=visit.model_dump_json(),
    )


def _kept(row: VisitRow) -> Visit | None:
    if row.form != FORM:
        return None
    try:
        visit = Visit.model_validate_json(row.visit)
    except ValidationError:
        return None
    return visit if (visit.session, visit.patient) == (row.session_id, row.patient) else None


def _by_patient(visits: Iterable[Visit]) -> dict[str, list[Visit]]:
    """By identifier; a session without one by its own id, which no patient has."""
    found: defaultdict[str, list[Visit]] = defaultdict(list)
    for each in visits:
        found[each.patient if each.patient is not None else f"\0{each.session}"].append(each)
    return found


def _entry(patient: Patient, visits: list[Visit], today: date) -> PatientEntry:
    lesions = folded(visits) if visits else ()
    rows = due(lesions, today)
    return PatientEntry(
        patient=patient,
        visits=len(visits),
        last_visit=max((each.on for each in visits), default=None),
        open_lesions=sum(each.state == "open" for each in lesions),
        next=rows[0] if rows else None,
    )
