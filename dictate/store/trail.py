"""The audit trail: what was done with the records beside writing them, in one chain.

What is dictated, corrected, confirmed, signed and amended is in the sessions' own events and is
not kept a second time. Where a session begins, is signed or amended, the trail notes how far its
chain had come then ("anchored"), so that a session taken away, cut short or made up is found.
Patients stand in it under a keyed mark of their identifier: who erases a patient erases the name.
"""

from __future__ import annotations

import getpass
from collections.abc import Iterator
from datetime import UTC, datetime
from typing import Literal

from pydantic import AwareDatetime, BaseModel, ConfigDict, ValidationError
from sqlalchemy import func, insert, select, text
from sqlalchemy.orm import Session as Transaction

from dictate.errors import StoreError
from dictate.store.chain import FIRST
from dictate.store.sealing import Sealer
from dictate.store.tables import TrailRow

Action = Literal[
    "anchored",
    "viewed",
    "exported",
    "listed",
    "registered",
    "discarded",
    "erased",
    "restored",
    "backed up",
    "passphrase changed",
    "person added",
    "person retired",
]
Role = Literal["examiner", "assistant"]
PERSON, OTHER = "person", "other"
"""Kinds of entries that can be told apart without the key."""
_TURN = 0x7472616C
"""Names the lock that chairs take on a PostgreSQL server to add to the trail."""


class TrailEntry(BaseModel):
    """One thing that somebody did."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    at: AwareDatetime
    action: Action
    actor: str | None = None
    """The named user; None where nobody was named."""
    login: str | None = None
    """Of the operating system."""
    session: str | None = None
    patient: str | None = None
    """The mark of the identifier."""
    detail: str = ""
    events: int | None = None
    """Anchored: how many events the session had."""
    head: str | None = None
    """Anchored: the hash of the last of them."""
    name: str | None = None
    """Of a person added or retired."""
    role: Role | None = None

    @property
    def kind(self) -> str:
        return PERSON if self.name is not None else OTHER


class Head(BaseModel):
    """The end of the trail: how many entries there are, and the last one's hash."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    seq: int
    hash: str


def made(action: Action, actor: str | None, **more: object) -> TrailEntry:
    """An entry of now."""
    known = {"at": datetime.now(UTC), "action": action, "actor": actor, "login": _login()}
    return TrailEntry.model_validate({**known, **more})


def mark_of(sealer: Sealer, patient: str) -> str:
    """What stands for a patient in the trail."""
    return sealer.mark(f"patient {patient}")


def append(transaction: Transaction, sealer: Sealer, entry: TrailEntry) -> Head:
    """Add an entry, within a transaction that writes; chairs wait for one another here."""
    if transaction.get_bind().dialect.name == "postgresql":
        transaction.execute(text("SELECT pg_advisory_xact_lock(:turn)"), {"turn": _TURN})
    last = head(transaction)
    words = entry.model_dump_json(exclude_none=True)
    new = Head(seq=last.seq + 1, hash=sealer.mark(f"{last.hash} {words}"))
    row = {"seq": new.seq, "kind": entry.kind, "entry": words}
    transaction.execute(insert(TrailRow).values(**row, prev_hash=last.hash, hash=new.hash))
    return new


def head(transaction: Transaction) -> Head:
    """The end of the trail as the database has it."""
    last = select(TrailRow.seq, TrailRow.hash).order_by(TrailRow.seq.desc()).limit(1)
    found = transaction.execute(last).first()
    return Head(seq=found[0], hash=found[1]) if found else Head(seq=0, hash=FIRST)


def holds(transaction: Transaction, known: Head) -> bool:
    """True if the trail still has what was once its end."""
    if known.seq == 0:
        return True
    query = select(func.count()).where(TrailRow.seq == known.seq, TrailRow.hash == known.hash)
    return bool(transaction.scalar(query))


def entries(
    transaction: Transaction, sealer: Sealer, *, kind: str | None = None
) -> Iterator[TrailEntry]:
    """Every entry in order. Raises StoreError for one that was altered."""
    query = select(TrailRow).order_by(TrailRow.seq)
    for row in transaction.scalars(query if kind is None else query.where(TrailRow.kind == kind)):
        yield opened(row, sealer)


def opened(row: TrailRow, sealer: Sealer) -> TrailEntry:
    """The entry of a row. Raises StoreError when it was altered."""
    where = f"Entry {row.seq} of the audit trail"
    if sealer.mark(f"{row.prev_hash} {row.entry}") != row.hash:
        raise StoreError(f"{where} has been altered; restore it from a backup.")
    try:
        entry = TrailEntry.model_validate_json(row.entry)
    except ValidationError:
        raise StoreError(f"{where} is of a later version; update dictate.") from None
    if entry.kind != row.kind:
        raise StoreError(f"{where} has been altered; restore it from a backup.")
    return entry


def _login() -> str | None:
    try:
        return getpass.getuser()
    except (KeyError, OSError):
        return None
