"""The database of all sessions: SQLite in the home folder, or another by its URL."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from contextlib import closing, contextmanager, suppress
from datetime import datetime
from pathlib import Path

from sqlalchemy import Engine, delete, func, insert, select, update
from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session as Transaction

from dictate.errors import StoreError
from dictate.exam.events import Amended, Signed
from dictate.store import chain, trail
from dictate.store.backup import keep_before
from dictate.store.chain import Record
from dictate.store.columns import unlock
from dictate.store.conversion import SEALED_SINCE
from dictate.store.copying import copy_out
from dictate.store.engine import HURRY_MS, PATIENCE_MS, file_of, make_engine
from dictate.store.entry import Entry, summary
from dictate.store.failures import ConflictError, told
from dictate.store.safety_copy import keep_copy, place_of_copy
from dictate.store.schema import prepare, take_turn
from dictate.store.sealing import Sealer, SealError, damaged
from dictate.store.tables import AMENDED, OTHER, EventRow, KeyRow, SessionRow
from dictate.store.trail import TrailEntry
from dictate.store.trail_head import read_head, write_head


class Database:
    """Sessions and their events. Every method is one transaction, and raises StoreError."""

    def __init__(self, engine: Engine, sealer: Sealer, home: Path) -> None:
        unlock(engine, sealer)
        self._home = home
        self._engine = engine
        self._sealer = sealer
        self._writing = engine.execution_options(patience_ms=PATIENCE_MS)
        self._hurrying = engine.execution_options(patience_ms=HURRY_MS)

    @classmethod
    def open(cls, folder: Path, sealer: Sealer, url: str | None = None) -> Database:
        """Opens, and makes where missing, the database of that URL or `folder`/records.db.

        Raises StoreError for one that another key seals.
        """
        with told("open the database"):
            database = cls(make_engine(folder, url), sealer, folder)
            prepare(database._engine, database._writing, database._copy_first)
            database._check_key()
        return database

    def _check_key(self) -> None:
        with self._engine.connect() as connection:
            key_id = connection.scalar(select(KeyRow.key_id))
        if key_id is None:
            with self._writing.begin() as connection:
                take_turn(connection)
                key_id = connection.scalar(select(KeyRow.key_id)) or self._sealer.id
                connection.execute(delete(KeyRow))
                connection.execute(insert(KeyRow).values(key_id=key_id))
        if key_id != self._sealer.id:
            raise StoreError(
                "The database is sealed with another key than that of store.key; "
                "put the store.key that belongs to it into the home folder."
            )

    def _copy_first(self, version: int) -> None:
        """Of a server's database its keeper makes the copies."""
        file = file_of(self._engine)
        if file is not None:
            if version < SEALED_SINCE:  # a copy as it is would undo the sealing
                keep_before(file, self._sealer, *place_of_copy(file, version))
            else:
                keep_copy(file, version)

    def copy_into(self, file: Path) -> None:
        """All of it as it is at one moment, as an SQLite database in an empty file."""
        with told("copy the database"):
            copy_out(self._engine, file)

    @property
    def sealer(self) -> Sealer:
        """The key that the database is sealed with."""
        return self._sealer

    @property
    def home(self) -> Path:
        """The folder of this machine."""
        return self._home

    def note(self, *entries: TrailEntry, hurry: bool = False, restored: bool = False) -> None:
        """Add to the audit trail. `restored`: its end is where the backup left it."""
        engine = self._hurrying if hurry else self._writing
        with self._transaction("keep the audit trail", engine) as transaction:
            before = None if restored else self._known_head(transaction)
            for each in entries:
                head = trail.append(transaction, self._sealer, each)
        if entries and (restored or before is not None):
            self._keep_head(head)

    def _known_head(self, transaction: Transaction) -> trail.Head | None:
        """The end that this machine knew; None when the trail lost it: then it is left to tell."""
        try:
            known = read_head(self._home, self._sealer)
        except StoreError:
            return None
        return known if trail.holds(transaction, known) else None

    def _keep_head(self, head: trail.Head) -> None:
        with suppress(StoreError):  # then it is behind, which is no harm
            write_head(self._home, self._sealer, head)

    def save(self, session_id: str, records: Sequence[Record], *, hurry: bool = False) -> None:
        """Add the records that are not there yet; all of them, or none.

        `records` are all of the session, from the first on. Raises StoreError when the
        database holds other events under the same numbers: somebody else wrote them
        (ConflictError).
        """
        if not records:
            return
        entry = summary(session_id, [each.event for each in records])
        engine = self._hurrying if hurry else self._writing
        with self._transaction("keep the session", engine) as transaction:
            kept = _hashes(transaction, session_id, lock=True)
            given = [each.hash for each in records]
            if kept[: len(given)] != given[: len(kept)]:
                raise _changed_elsewhere(session_id)
            if len(kept) >= len(given):
                return
            if not kept:
                transaction.execute(insert(SessionRow).values(**_columns(entry, draft=True)))
            rows = [_row(session_id, each) for each in records[len(kept) :]]
            transaction.execute(insert(EventRow), rows)
            transaction.execute(
                update(SessionRow)
                .where(SessionRow.id == session_id)
                .values(state=entry.state, examiner=entry.examiner, version=entry.version)
            )
            known = head = None
            if not kept or any(_binds(each) for each in records[len(kept) :]):
                known = self._known_head(transaction)
                head = trail.append(transaction, self._sealer, _anchor(session_id, records))
        if known is not None and head is not None:
            self._keep_head(head)

    def records(self, session_id: str) -> tuple[Record, ...]:
        """All records of a session, checked; none when it is not there.

        Raises StoreError naming the first that was altered, removed or put out of order.
        """
        with self._transaction("read the session") as transaction:
            query = select(EventRow).where(EventRow.session_id == session_id)
            try:
                rows = list(transaction.scalars(query.order_by(EventRow.seq)))
                entry = transaction.get(SessionRow, session_id)
            except SealError:
                raise damaged(f"Session {session_id}, in the database,") from None
            records = tuple(opened(row, self._sealer) for row in rows)
            chain.check(records, where=f"Session {session_id}")
            if records:
                _agree(entry, summary(session_id, [each.event for each in records]))
        return records

    def entries(self) -> tuple[Entry, ...]:
        """All sessions, the latest first."""
        with self._transaction("list the sessions") as transaction:
            query = select(SessionRow).order_by(SessionRow.created.desc(), SessionRow.id)
            return tuple(_entry(row) for row in transaction.scalars(query))

    def last_time(self) -> datetime | None:
        """When the session began that is the latest by its clock."""
        with self._transaction("list the sessions") as transaction:
            latest = transaction.scalar(select(func.max(SessionRow.created)))
            return datetime.fromisoformat(latest) if latest else None

    def begun_last(self) -> tuple[str, datetime] | None:
        """The session that was put in last, whatever the clock said, and its latest time."""
        with self._transaction("list the sessions") as transaction:
            first = select(EventRow.session_id).where(EventRow.seq == 1)
            name = transaction.scalar(first.order_by(EventRow.id.desc()).limit(1))
            mine = select(func.max(EventRow.at)).where(EventRow.session_id == name)
            return (name, datetime.fromisoformat(transaction.scalar(mine) or "")) if name else None

    def written_last(self, sessions: Iterable[str]) -> str | None:
        """That of these sessions which was written to last, whatever the clock said then."""
        with self._transaction("list the sessions") as transaction:
            events = select(EventRow.session_id).where(EventRow.session_id.in_(list(sessions)))
            return transaction.scalar(events.order_by(EventRow.id.desc()).limit(1))

    def discard(self, session_id: str, by: str | None = None) -> None:
        """Delete a draft. Raises StoreError for a final record."""
        with self._transaction("discard the draft", self._writing) as transaction:
            row = transaction.get(SessionRow, session_id)
            if row is None:
                return
            if row.state == "final":
                raise StoreError(
                    f"Session {session_id} is final and is kept; amend it to correct it."
                )
            transaction.execute(delete(EventRow).where(EventRow.session_id == session_id))
            transaction.execute(delete(SessionRow).where(SessionRow.id == session_id))
            trail.append(transaction, self._sealer, trail.made("discarded", by, session=session_id))
        self.forget_old_pages()

    def forget_old_pages(self) -> bool:
        """Empty SQLite's write-ahead file, which would still hold what was deleted.

        False where another program, reading just then, kept that from being done. Raises
        StoreError.
        """
        if self._engine.dialect.name != "sqlite":
            return True
        with told("remove what was deleted"), closing(self._engine.raw_connection()) as connection:
            cursor = connection.cursor()
            cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)")
            told_of = cursor.fetchone()
            return told_of is not None and told_of[0] == 0

    @contextmanager
    def transaction(self, task: str, *, writing: bool = False) -> Iterator[Transaction]:
        """One transaction. Raises StoreError, `task` ("list the patients") being what failed."""
        with self._transaction(task, self._writing if writing else None) as transaction:
            yield transaction

    def close(self) -> None:
        """Release all connections."""
        self._engine.dispose()

    @contextmanager
    def _transaction(self, task: str, engine: Engine | None = None) -> Iterator[Transaction]:
        with told(task):
            try:
                with Transaction(engine or self._engine) as transaction, transaction.begin():
                    yield transaction
            except IntegrityError as error:
                if "final record" in str(error.orig) or "never changed" in str(error.orig):
                    raise StoreError(f"Cannot {task}: {error.orig}; make an amendment.") from None
                raise ConflictError(
                    f"Cannot {task}: another program has written it at the same moment; "
                    "open it again."
                ) from None


def _hashes(transaction: Transaction, session_id: str, *, lock: bool = False) -> list[str]:
    """Of the events kept; with `lock`, no other chair of a server writes them meanwhile."""
    if lock:
        row = select(SessionRow.id).where(SessionRow.id == session_id)
        transaction.execute(row.with_for_update())
    query = select(EventRow.hash).where(EventRow.session_id == session_id)
    return list(transaction.scalars(query.order_by(EventRow.seq)))


def _binds(record: Record) -> bool:
    return isinstance(record.event.body, Signed | Amended)


def _anchor(session_id: str, records: Sequence[Record]) -> TrailEntry:
    """What the trail says of a session: from now on it cannot go, or be cut shorter, unseen."""
    last = records[-1]
    return TrailEntry(
        at=last.event.at,
        action="anchored",
        session=session_id,
        events=len(records),
        head=last.hash,
    )


def _row(session_id: str, record: Record) -> dict[str, object]:
    return {
        "session_id": session_id,
        "seq": record.event.seq,
        "at": record.event.at.isoformat(),
        "actor": record.event.actor,
        "type": AMENDED if isinstance(record.event.body, Amended) else OTHER,
        "event": record.text,
        "prev_hash": record.prev,
        "hash": record.hash,
    }


def opened(row: EventRow, sealer: Sealer) -> Record:
    where = f"Event {row.seq} of session {row.session_id}"
    record = chain.opened(sealer, row.event, row.prev_hash, row.hash, where=where)
    told_twice = _row(row.session_id, record)
    if any(getattr(row, name) != value for name, value in told_twice.items()):
        raise StoreError(f"{where} has been altered; restore it from a backup.")
    return record


def _agree(row: SessionRow | None, entry: Entry) -> None:
    if row is None or _entry(row) != entry:
        raise StoreError(
            f"The entry of session {entry.id} does not fit its events: it has been altered, "
            "or events at its end are missing; restore it from a backup."
        )


def _columns(entry: Entry, *, draft: bool) -> dict[str, object]:
    return {
        "id": entry.id,
        "created": entry.created.isoformat(),
        "state": "draft" if draft else entry.state,
        "examiner": None if draft else entry.examiner,
        "patient": entry.patient,
        "version": 0 if draft else entry.version,
    }


def _entry(row: SessionRow) -> Entry:
    return Entry.model_validate(
        {
            "id": row.id,
            "created": row.created,
            "state": row.state,
            "examiner": row.examiner,
            "patient": row.patient,
            "version": row.version,
        }
    )


def _changed_elsewhere(session_id: str) -> ConflictError:
    return ConflictError(
        f"Session {session_id} has been changed by another program meanwhile; open it again."
    )
