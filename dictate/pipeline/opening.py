"""Opens examinations: new ones, drafts to go on with, and sessions by a part of their id."""

from __future__ import annotations

from dictate.errors import ExamError, StoreError
from dictate.exam.lesions import Lesion
from dictate.exam.patients import Patient
from dictate.exam.session import Session
from dictate.matching.matcher import Matcher
from dictate.pipeline.examination import Examination, now
from dictate.pipeline.identifying import newcomer
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
    known, new, lesions = _earlier(store, patient) if patient is not None else (None, None, ())
    session = Session.start(
        new_id(at),
        lexicon,
        at,
        engine=engine,
        patient=known.id if known else None,
        newcomer=new,
        on=at.astimezone().date(),
        lesions=lesions,
        followup=lexicon.followup.chosen(),
    )
    examination = Examination(session, Matcher(lexicon), store)
    try:
        store.create(session)
    except StoreError as error:
        examination.problem = str(error)
    examination.warning = store.set_back
    return examination


def _earlier(store: Store, identifier: str) -> tuple[Patient, str | None, tuple[Lesion, ...]]:
    """The patient, what of the identifier is to be confirmed, and the open lesions.

    A new one is kept with its first session alone: a slip leaves no patient behind.
    """
    asked = Patient.of(identifier)
    try:
        new = newcomer(store, identifier)
        patient = PatientBook(store).get(asked.id) or asked
        return patient, new, Worklist(store).open_lesions(patient.id)
    except StoreError as error:
        raise StoreError(
            f"The earlier visits of {asked.id} cannot be read: {error} "
            "Without --patient a new record can be begun all the same."
        ) from error


def resumed_examination(store: Store, lexicon: Lexicon, name: str | None = None) -> Examination:
    """The draft of that name, or the one worked on last. Raises StoreError."""
    known = None if name is None or name == LATEST else find(store, name)
    return Examination(store.resume(known), Matcher(lexicon), store)


def moved(store: Store, lexicon: Lexicon, session: Session, patient: str) -> Examination:
    """The draft under another patient's identifier, as a draft of its own; the old one goes.

    Raises ExamError for a final record, and where earlier lesions of the first patient were
    spoken of: that is no record of another's.
    """
    if session.is_final:
        raise ExamError("The record is final; it cannot be given to another patient.")
    said = session.state.following
    if said.links or said.resolved or said.left or said.answers:
        raise ExamError(
            f"Lesions of {session.patient} were spoken of in this draft; undo that, or begin anew."
        )
    known, new, lesions = _earlier(store, patient)
    at = now()
    start = session.started.model_copy(
        update={"id": new_id(at), "patient": known.id, "newcomer": new, "lesions": lesions}
    )
    first = session.events[0].model_copy(update={"body": start})
    copy = Session.from_events([first, *session.events[1:]])
    store.create(copy)
    store.discard(session.id)
    return Examination(copy, Matcher(lexicon), store)


def find(store: Store, name: str) -> str:
    """The id that `name` means: an id, the start of one, or "latest". Raises StoreError."""
    if name == LATEST:
        return store.latest()
    ids = [entry.id for entry in store.list()]
    if name in ids:
        return name
    found = [each for each in ids if each.startswith(name)]
    if len(found) == 1:
        return found[0]
    if found:
        raise StoreError(f"{name} could be {' or '.join(found[:3])}; give more of the id.")
    raise StoreError(f"There is no session {name}; `dictate list` shows which there are.")
