"""Deletes all that is kept of one patient, final records too, because the law lets them ask.

Nothing else deletes a final record. What stays is that it was done: when, by whom, of how many
sessions. Whose they were is not kept.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from pydantic import AwareDatetime, BaseModel, ConfigDict
from sqlalchemy import delete, insert, select
from sqlalchemy.orm import Session as Transaction

from dictate.errors import StoreError
from dictate.exam.events import SessionStarted
from dictate.store import guards, trail
from dictate.store.audio_files import forget as forget_sound
from dictate.store.backup import ENDING
from dictate.store.chain import FIRST
from dictate.store.database import Database
from dictate.store.drafts import DraftFolder
from dictate.store.failures import told
from dictate.store.safety_copy import FOLDER
from dictate.store.sealing import Sealer
from dictate.store.store import Store
from dictate.store.tables import ErasureRow, EventRow, PatientRow, SessionRow, VisitRow


class Erasure(BaseModel):
    """That all of a patient was deleted."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    at: AwareDatetime
    by: str
    sessions: int


@dataclass(frozen=True, slots=True)
class Erased:
    """What an erasure did, and what it could not do."""

    erasure: Erasure
    notes: tuple[str, ...]


def erase(store: Store, patient: str, *, by: str, at: AwareDatetime) -> Erased:
    """Delete every session of that patient, drafts included, and the patient's entry.

    Raises StoreError, also for who is no examiner where there are some; DraftInUseError when one
    of the drafts is open in a program: what was deleted until then stays deleted, and the same
    call goes on.
    """
    by = store.roles.may_sign(by, "erases")
    database, folder = store.database(), store.folder
    kept = _sessions(database, patient)
    drafts, notes = _drafts(folder, kept, patient)
    for session_id in drafts:
        folder.delete(session_id)
    for session_id in kept | drafts:
        forget_sound(store.home, session_id)
    erasure = Erasure(at=at, by=by, sessions=len(kept | drafts))
    with database.transaction("erase the patient", writing=True) as transaction:
        with guards.lifted(transaction.connection()):
            _delete(transaction, patient, kept)
            for name in sorted(kept):
                trail.append(transaction, store.unlocked(), trail.made("erased", by, session=name))
        _note(transaction, erasure, store.unlocked())
    if not database.forget_old_pages():
        notes.append(
            "another program was reading the database; until all programs are closed, its "
            "write-ahead file holds sealed traces of what was erased"
        )
    notes += _forget_copies(store.home)
    return Erased(erasure, tuple(notes))


def erasures(store: Store) -> tuple[Erasure, ...]:
    """All erasures, in order. Raises StoreError when one was altered or moved."""
    with store.database().transaction("list the erasures") as transaction:
        rows = transaction.scalars(select(ErasureRow).order_by(ErasureRow.id)).all()
        found = [(row.erasure, row.hash) for row in rows]
    prev = FIRST
    for text, hash_ in found:
        if store.unlocked().mark(f"{prev} {text}") != hash_:
            raise StoreError("The list of erasures has been altered; restore it from a backup.")
        prev = hash_
    return tuple(Erasure.model_validate_json(text) for text, _ in found)


def _sessions(database: Database, patient: str) -> set[str]:
    with database.transaction("find the patient's sessions") as transaction:
        query = select(SessionRow.id).where(SessionRow.patient == patient)
        return set(transaction.scalars(query))


def _drafts(folder: DraftFolder, kept: set[str], patient: str) -> tuple[set[str], list[str]]:
    """The patient's drafts on this machine, and lines about those that cannot be read."""
    found: set[str] = set()
    notes: list[str] = []
    for session_id in folder.ids():
        if session_id in kept:
            found.add(session_id)
            continue
        try:
            events = folder.read(session_id)
        except StoreError as error:
            notes.append(f"whether this draft is the patient's is not known: {error}")
            continue
        first = events[0].body if events else None
        if isinstance(first, SessionStarted) and first.patient == patient:
            found.add(session_id)
    return found, notes


def _delete(transaction: Transaction, patient: str, sessions: Iterable[str]) -> None:
    for name in sorted(sessions):
        transaction.execute(delete(EventRow).where(EventRow.session_id == name))
        transaction.execute(delete(VisitRow).where(VisitRow.session_id == name))
        transaction.execute(delete(SessionRow).where(SessionRow.id == name))
    transaction.execute(delete(VisitRow).where(VisitRow.patient == patient))
    transaction.execute(delete(PatientRow).where(PatientRow.id == patient))


def _note(transaction: Transaction, erasure: Erasure, sealer: Sealer) -> None:
    query = select(ErasureRow.hash).order_by(ErasureRow.id.desc()).limit(1)
    prev = transaction.scalar(query) or FIRST
    text = erasure.model_dump_json()
    row = {"erasure": text, "hash": sealer.mark(f"{prev} {text}")}
    transaction.execute(insert(ErasureRow).values(**row))


def _forget_copies(home: Path) -> list[str]:
    """Delete the copies that the program itself made before it changed the tables."""
    folder = home / FOLDER
    with told("delete old copies"):
        copies = [*folder.glob(f"*{ENDING}"), *folder.glob("*.db")] if folder.exists() else []
        for each in copies:
            each.unlink()
    if not copies:
        return []
    return [f"{len(copies)} copies from before an update were deleted: the patient was in them"]
