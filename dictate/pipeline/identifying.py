"""Is that the right patient? Identifiers never seen before, and known ones they look like."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from rapidfuzz.distance import OSA

from dictate.exam.patients import Patient
from dictate.exam.readback import and_words
from dictate.store.patients import PatientBook
from dictate.store.store import Store
from dictate.store.worklist import Worklist

ONE_EDIT = 1
"""One character more, less or other, or two neighbours swapped: a slip of the keyboard."""
_NAMED = 3


def lookalikes(identifier: str, known: Iterable[Patient]) -> tuple[Patient, ...]:
    """Patients whose identifier is one edit away from this one, capitals aside."""
    wanted = identifier.casefold()
    return tuple(
        each
        for each in known
        if OSA.distance(wanted, each.id.casefold(), score_cutoff=ONE_EDIT) == ONE_EDIT
    )


def newcomer(store: Store, identifier: str) -> str | None:
    """What is to be confirmed of an identifier; None for one that was seen before.

    One that only a draft bears was not: that may be the same slip.
    Raises ExamError for what is no identifier, StoreError when the patients cannot be read.
    """
    asked = Patient.of(identifier)
    book = PatientBook(store)
    known = book.get(asked.id)
    if known is not None and (known.name or known.birth_year or Worklist(store).visits(known.id)):
        return None
    told = f"New patient {asked.id}: not seen before."
    alike = lookalikes(asked.id, book.all())
    if not alike:
        return told
    return f"{told} {alike_words(alike)}"


def alike_words(alike: Sequence[Patient]) -> str:
    """ "It looks much like P-1 (Ada Rowan), P-2 and 4 more." """
    named = [_named(each) for each in alike[:_NAMED]]
    more = [f"{len(alike) - _NAMED} more"] if len(alike) > _NAMED else []
    return f"It looks much like {and_words([*named, *more])}."


def _named(patient: Patient) -> str:
    return f"{patient.id} ({patient.name})" if patient.name else patient.id
