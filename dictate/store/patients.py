"""The clinic's patients: its own identifiers, with a name and a year of birth where wanted."""

from __future__ import annotations

from collections.abc import Iterable

from pydantic import ValidationError
from sqlalchemy import select

from dictate.errors import StoreError
from dictate.exam.patients import Patient, patient_id
from dictate.store.sealing import damaged
from dictate.store.store import Store
from dictate.store.tables import PatientRow, SessionRow


class PatientBook:
    """Patients of a store. Every method raises StoreError when the database fails."""

    def __init__(self, store: Store) -> None:
        self._store = store

    def all(self) -> tuple[Patient, ...]:
        """Every patient that was registered or examined, by identifier."""
        with self._store.database().transaction("list the patients") as transaction:
            rows = transaction.scalars(select(PatientRow)).all()
            patients = {row.id: _patient(row) for row in rows}
            seen = select(SessionRow.patient).where(SessionRow.patient.is_not(None)).distinct()
            for name in transaction.scalars(seen):
                patients.setdefault(str(name), Patient.model_construct(id=str(name)))
        return tuple(sorted(patients.values(), key=lambda each: each.id.casefold()))

    def find(self, text: str) -> tuple[Patient, ...]:
        """Those whose identifier or name holds the text, capitals or not."""
        wanted = text.casefold().strip()
        return tuple(
            each
            for each in self.all()
            if wanted in each.id.casefold() or wanted in (each.name or "").casefold()
        )

    def get(self, identifier: str) -> Patient | None:
        """The patient of that identifier: as it is written, else in other capitals.

        Raises StoreError when capitals alone tell two patients apart.
        """
        name = patient_id(identifier)
        return _meant(name, self.all())

    def known(self, identifier: str) -> Patient:
        """The patient of that identifier. Raises StoreError when there is none."""
        found = self.get(identifier)
        if found is None:
            raise StoreError(
                f"There is no patient {patient_id(identifier)}; "
                "`dictate patients` shows which there are."
            )
        return found

    def register(self, patient: Patient) -> Patient:
        """Keep name and year of birth; what is not given stays as it was."""
        known = self.get(patient.id)
        kept = Patient(
            id=known.id if known else patient.id,
            name=patient.name or (known.name if known else None),
            birth_year=patient.birth_year or (known.birth_year if known else None),
        )
        with self._store.database().transaction("keep the patient", writing=True) as transaction:
            transaction.merge(PatientRow(id=kept.id, about=kept.model_dump_json()))
        return kept


def _patient(row: PatientRow) -> Patient:
    try:
        patient = Patient.model_validate_json(row.about)
    except ValidationError:
        patient = None
    if patient is None or patient.id != row.id:
        raise damaged("A patient's name and year of birth in the database")
    return patient


def _meant(name: str, patients: Iterable[Patient]) -> Patient | None:
    found = [each for each in patients if each.id.casefold() == name.casefold()]
    exact = [each for each in found if each.id == name]
    if len(found) > 1 and not exact:
        known = " and ".join(each.id for each in found)
        raise StoreError(f"There are {known}; write the identifier exactly.")
    return next(iter(exact or found), None)
