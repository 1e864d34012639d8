"""Goes through trail, sessions and journals and names all that was altered, missing or moved."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from pydantic import ValidationError
from sqlalchemy import select
from sqlalchemy.orm import Session as Transaction

from dictate.errors import ExamError, StoreError
from dictate.exam.events import Signed
from dictate.exam.session import Session
from dictate.exam.visits import FORM, Visit, visit_of
from dictate.store import guards, outbox, trail
from dictate.store.chain import FIRST, Record
from dictate.store.database import Database, opened
from dictate.store.drafts import DraftFolder
from dictate.store.entry import Entry, summary
from dictate.store.sealing import SealError, damaged
from dictate.store.tables import EventRow, SessionRow, TrailRow, VisitRow
from dictate.store.trail import TrailEntry
from dictate.store.trail_head import read_head


@dataclass
class Verdict:
    """What was found; `faults` a line each, none of them with words of a record."""

    entries: int = 0
    """Of the trail, of sessions and of journals, that were looked at and are right."""
    faults: list[str] = field(default_factory=list)


def verify(database: Database, drafts: DraftFolder) -> Verdict:
    """Check everything, and go on after a fault. Raises StoreError if it cannot be read at all."""
    return _Verifier(database, drafts).verdict()


class _Verifier:
    def __init__(self, database: Database, drafts: DraftFolder) -> None:
        self._database, self._drafts = database, drafts
        self._found = Verdict()
        self._chains: dict[str, list[str]] = {}
        """Hashes of each session in the database."""

    def verdict(self) -> Verdict:
        with self._database.transaction("verify the records") as transaction:
            for name in guards.missing(transaction.connection()):
                self._fault(f"The guard {name} is missing in the database.")
            entries = self._trail(transaction)
            self._sessions(transaction)
            self._anchors(entries)
            self._journals(transaction)
        self._outbox()
        return self._found

    def _fault(self, line: object) -> None:
        self._found.faults.append(str(line))

    def _trail(self, transaction: Transaction) -> list[TrailEntry]:
        sealer, prev = self._database.sealer, FIRST
        entries: list[TrailEntry] = []
        numbers = list(transaction.scalars(select(TrailRow.seq).order_by(TrailRow.seq)))
        for place, seq in enumerate(numbers, start=1):
            try:
                row = transaction.get_one(TrailRow, seq)
                if seq != place or row.prev_hash != prev:
                    self._fault(f"Before entry {seq} of the audit trail one is missing or moved.")
                    if seq != place:
                        return entries
                prev = row.hash
                entries.append(trail.opened(row, sealer))
                self._found.entries += 1
            except SealError:
                self._fault(damaged(f"Entry {seq} of the audit trail"))
            except StoreError as error:
                self._fault(error)
        self._end(transaction)
        return entries

    def _end(self, transaction: Transaction) -> None:
        try:
            known = read_head(self._database.home, self._database.sealer)
        except StoreError as error:
            self._fault(error)
            return
        if not trail.holds(transaction, known):
            self._fault(f"The end of the audit trail is missing: it had {known.seq} entries.")

    def _sessions(self, transaction: Transaction) -> None:
        told = set(transaction.scalars(select(SessionRow.id)))
        for session_id in sorted(told | set(transaction.scalars(select(EventRow.session_id)))):
            records = tuple(self._records(transaction, session_id))
            self._chains[session_id] = [each.hash for each in records]
            if not records:
                self._fault(f"Session {session_id} has no events.")
                continue
            self._entry(transaction, session_id, records)

    def _records(self, transaction: Transaction, session_id: str) -> Iterator[Record]:
        """Those that are right as they stand; what is wrong with others is told."""
        prev = FIRST
        query = select(EventRow.id).where(EventRow.session_id == session_id).order_by(EventRow.seq)
        for place, number in enumerate(list(transaction.scalars(query)), start=1):
            try:
                row = transaction.get_one(EventRow, number)
                if row.seq != place or row.prev_hash != prev:
                    self._fault(
                        f"Session {session_id}: event {place} is missing, added or out of order."
                    )
                    return
                prev = row.hash
                yield opened(row, self._database.sealer)
                self._found.entries += 1
            except SealError:
                self._fault(damaged(f"Event {place} of session {session_id}"))
                return
            except StoreError as error:
                self._fault(error)
                return

    def _entry(self, transaction: Transaction, session_id: str, records: Sequence[Record]) -> None:
        try:
            row = transaction.get(SessionRow, session_id)
            entry = summary(session_id, [each.event for each in records])
            if row is None or Entry.model_validate(_told(row)) != entry:
                self._fault(f"The entry of session {session_id} does not fit its events.")
            if entry.state == "final":
                self._visit(transaction, session_id, records)
        except (SealError, ValidationError):
            self._fault(damaged(f"The entry of session {session_id}"))
        except (StoreError, ExamError) as error:
            self._fault(error)

    def _visit(self, transaction: Transaction, session_id: str, records: Sequence[Record]) -> None:
        """What was computed from a signed session must be what its events give.

        One of another form is read by nobody: it is computed anew.
        """
        row = transaction.get(VisitRow, session_id)
        if row is None or row.form != FORM:
            return
        visit = visit_of(Session.from_events(each.event for each in records))
        if row.version == visit.version and Visit.model_validate_json(row.visit) != visit:
            self._fault(f"What session {session_id} says for later does not follow from it.")

    def _anchors(self, entries: Sequence[TrailEntry]) -> None:
        gone = {each.session for each in entries if each.action in ("discarded", "erased")}
        anchored = set()
        for each in entries:
            if each.action != "anchored" or each.session is None:
                continue
            anchored.add(each.session)
            hashes = self._chains.get(each.session)
            if hashes is None:
                if each.session not in gone:
                    self._fault(f"Session {each.session} is missing.")
            elif (each.events or 0) > len(hashes):
                self._fault(f"Session {each.session} lacks events at its end.")
            elif each.events and hashes[each.events - 1] != each.head:
                self._fault(f"Session {each.session} is not the one that was kept.")
        for name in sorted(set(self._chains) - anchored):
            self._fault(f"Session {name} is not in the audit trail: it was put in from outside.")

    def _journals(self, transaction: Transaction) -> None:
        on_sqlite = transaction.get_bind().dialect.name == "sqlite"
        for session_id in self._drafts.ids():
            try:
                records = self._drafts.records(session_id)
            except StoreError as error:
                self._fault(error)
                continue
            self._found.entries += len(records)
            self._compare(session_id, records, shared=not on_sqlite)

    def _compare(self, session_id: str, records: Sequence[Record], *, shared: bool) -> None:
        """A journal is what the database has of its draft, or goes on from there.

        Of a draft on a server another chair may have gone on. A signed journal waits to be moved.
        """
        here, there = [each.hash for each in records], self._chains.get(session_id, [])
        for place, (one, other) in enumerate(zip(here, there, strict=False), start=1):
            if one != other:
                self._fault(
                    f"Event {place} of session {session_id} is not the same in its draft here and "
                    "in the database."
                )
                return
        signed = any(isinstance(each.event.body, Signed) for each in records)
        if len(here) < len(there) and not shared and not signed:
            self._fault(
                f"The draft {session_id} lacks {len(there) - len(here)} events at its end that "
                "the database has."
            )

    def _outbox(self) -> None:
        try:
            self._found.entries += len(outbox.waiting(self._database.home, self._database.sealer))
        except StoreError as error:
            self._fault(error)


def _told(row: SessionRow) -> dict[str, object]:
    names = ("id", "created", "state", "examiner", "patient", "version")
    return {name: getattr(row, name) for name in names}
