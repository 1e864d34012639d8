"""Opens examinations: new ones, drafts to go on with, and sessions by a part of their id."""

from __future__ import annotations

from dictate.errors import StoreError
from dictate.exam.lesions import Lesion
from dictate.exam.patients import Patient
from dictate.exam.session import Session
from dictate.matching.matcher import Matcher
from dictate.pipeline.examination import Examination, now
from dictate.store.patients import PatientBook
from dictate.store.store import Store, new_id
from dictate.store.worklist import Worklist
from dictate.vocabulary.schema import Lexicon

LATEST = "latest"


def new_examination(
    store: Store, lexicon: Lexicon, *, engine: str | None = None, patient: str | None = None
) -> Examination:
    """A new draft, kept from its first event on. Not kept yet: told in `problem`.

    With a patient, it begins with the open lesions of earlier visits. Raises StoreError where
    those cannot be read: a visit that silently forgets them would look like a first one.
    """
    at = now()
    known, lesions = _earlier(store, patient) if patient is not None else (None, ())
    session = Session.start(
        new_id(at),
        lexicon,
        at,
        engine=engine,
        patient=known.id if known else None,
        on=at.astimezone().date(),
        lesions=lesions,
        followup=lexicon.followup.chosen(),
    )
    examination = Examination(session, Matcher(lexicon), store)
    try:
        store.create(session)
    except StoreError as error:
        examination.problem = str(error)
    return examination


def _earlier(store: Store, identifier: str) -> tuple[Patient, tuple[Lesion, ...]]:
    """The patient, registered where new, and the open lesions of earlier visits."""
    asked = Patient.of(identifier)
    try:
        patient = PatientBook(store).register(asked)
        return patient, Worklist(store).open_lesions(patient.id)
    except StoreError as error:
        raise StoreError(
            f"The earlier visits of {asked.id} cannot be read: {error} "
            "Without --patient a new record can be begun all the same."
        ) from error


def resumed_examination(store: Store, lexicon: Lexicon, name: str | None = None) -> Examination:
    """The draft of that name, or the one worked on last. Raises StoreError."""
    known = None if name is None or name == LATEST else find(store, name)
    return Examination(store.resume(known), Matcher(lexicon), store)


def find(store: Store, name: str) -> str:
    """The id that `name` means: an id, the start of one, or "latest". Raises StoreError."""
    ids = [entry.id for entry in store.list()]
    if name == LATEST and ids:
        return ids[0]
    if name in ids:
        return name
    found = [each for each in ids if each.startswith(name)]
    if len(found) == 1:
        return found[0]
    if found:
        raise StoreError(f"{name} could be {' or '.join(found[:3])}; give more of the id.")
    raise StoreError(f"There is no session {name}; `dictate list` shows which there are.")
