"""Keeping who a patient is: the clinic's identifier, a name if wanted, the year of birth."""

from __future__ import annotations

from datetime import date

from dictate.errors import ExamError
from dictate.exam.patients import Patient
from dictate.store.patients import PatientBook
from dictate.store.store import Store


def register(
    store: Store,
    identifier: str,
    name: str | None = None,
    birth_year: int | None = None,
    *,
    today: date | None = None,
) -> Patient:
    """The patient as kept now; what is not given stays as it was.

    Raises ExamError for what cannot be kept, StoreError where it cannot be written.
    """
    patient = Patient.of(identifier, name, birth_year)
    if birth_year is not None and birth_year > (today or date.today()).year:
        raise ExamError(f"The year of birth {birth_year} has not come yet; give it again.")
    kept = PatientBook(store).register(patient)
    store.note("registered", patient=kept.id)
    return kept
