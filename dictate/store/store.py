"""The store: drafts journalled as they grow, final records in the database.

A step counts once it is in the journal. The database follows at once where it can; when
it cannot (locked, full, another machine's and out of reach) the journal is enough, and
what the database lacks is put there later, at the latest on the next start.
"""

from __future__ import annotations

import secrets
import time
from collections.abc import Iterable, Sequence
from contextlib import suppress
from datetime import datetime
from pathlib import Path
from types import TracebackType
from typing import Self

from dictate.errors import StoreError
from dictate.exam.commands import Amend
from dictate.exam.events import Event
from dictate.exam.session import Session
from dictate.store import clocks
from dictate.store.audio_files import forget as forget_sound
from dictate.store.chain import Record, linked
from dictate.store.connection import Connection
from dictate.store.database import Database
from dictate.store.drafts import Draft, DraftFolder, continuing
from dictate.store.entry import Entry
from dictate.store.failures import ConflictError
from dictate.store.home import home_folder
from dictate.store.noting import Noting
from dictate.store.people import People
from dictate.store.reading import Reading, not_a_draft, session_of, unknown
from dictate.store.recovering import Recovery
from dictate.store.roles import Roles
from dictate.store.sealing import Sealer
from dictate.store.trail import Action


class Store:
    """All sessions of this machine. One thread owns it; close it, or use it in a `with`.

    Making one touches no disk; what fails does so in the method called, as StoreError. A store
    with a passphrase needs its key, which `keys.unlock` gives; it never asks for one itself, and
    raises LockedError without.
    """

    def __init__(
        self, home: Path | None = None, url: str | None = None, sealer: Sealer | None = None
    ) -> None:
        self.home = home_folder(home)
        self.behind: str | None = None
        """Why the database lacks the latest events; None while it has them all."""
        self.set_back: str | None = None
        """A line, where a session was created by a clock that was set back."""
        self._connection = Connection(self.home, url, sealer)
        self._folder = DraftFolder(self.home / "drafts", self.unlocked)
        self._drafts: dict[str, Draft] = {}
        self._recovered = False
        self._reading = Reading(self._folder, self._drafts, self.untouched)
        self.roles = Roles(lambda: People(self.untouched()))
        """Who acts; nobody named at first."""
        self._noting = Noting(self.home, self.unlocked, self.untouched, self._folder.note)
        self._recovery = Recovery(
            self.home,
            self._folder,
            self.unlocked,
            self.untouched,
            self._finish,
            self._reading.knows,
        )

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    @property
    def url(self) -> str | None:
        """Of the database, where it is not in the home folder."""
        return self._connection.url

    @property
    def notes(self) -> tuple[str, ...]:
        """Lines to show: what was found wrong on opening and what was done about it."""
        return tuple(self._folder.notes)

    @property
    def folder(self) -> DraftFolder:
        """The drafts of this machine."""
        return self._folder

    def unlocked(self) -> Sealer:
        """The key of the store; made, without a passphrase, where there is none yet.

        Raises LockedError when it needs a passphrase, StoreError when it is damaged.
        """
        return self._connection.unlocked()

    # A draft

    def create(self, session: Session) -> None:
        """Keep a new session. On StoreError it waits in memory, as with `append`."""
        draft = self._folder.new(session.id)
        if session.id in self._drafts:
            raise StoreError(f"The session {session.id} is open already; choose another id.")
        self._drafts[session.id] = draft
        self._recover_if_possible()
        self._look_at_clock(session.events[-1].at)
        if self._reading.knows(session.id):
            del self._drafts[session.id]
            raise StoreError(f"There is a session {session.id} already; choose another id.")
        self.append(session.id, session.events)

    def append(self, session_id: str, events: Sequence[Event]) -> None:
        """Put the events on the disk: when this returns, they survive a crash.

        Events passed before are passed over, so that a failed call may be repeated with
        more. On StoreError they wait in `pending` and every further call tries again. With
        the signature the session moves into the database; amendments go there alone.
        """
        draft = self._drafts.get(session_id)
        if draft is None:
            self._append_final(session_id, events)
            return
        draft.take(events)
        draft.flush()
        self._noting.put()
        if draft.is_signed:
            self._finish(session_id, draft)
        else:
            self._mirror(session_id, draft)

    def pending(self, session_id: str) -> tuple[Event, ...]:
        """Events that are in memory alone, because the disk refused them."""
        draft = self._drafts.get(session_id)
        return tuple(draft.pending) if draft else ()

    def resume(self, session_id: str | None = None) -> Session:
        """Open a draft again: that one, or the one worked on last that is not open elsewhere.

        Raises StoreError when there is none, when it is open elsewhere, final or damaged.
        """
        self.recover()
        chosen = session_id or self._reading.latest_draft()
        draft = self._drafts.get(chosen) or self._reopened(chosen)
        if draft.is_signed:
            self._drafts[chosen] = draft
            self._finish(chosen, draft)
            raise not_a_draft(chosen)
        self._drafts[chosen] = draft
        try:
            self._mirror(chosen, draft)
        except ConflictError:
            self._drafts.pop(chosen, None)
            raise StoreError(self._recovery.part(chosen, draft)) from None
        return Session.from_events([*draft.events, *draft.pending])

    def discard(self, session_id: str) -> None:
        """Delete a draft for good. Raises StoreError for a final record and an unknown id."""
        draft = self._drafts.get(session_id)
        if draft is None and self._folder.has(session_id):
            draft = self._reopened(session_id)
        if draft is None and not self._reading.knows(session_id):
            raise unknown(session_id)
        if draft is not None and draft.is_signed:
            raise not_a_draft(session_id)
        self.untouched().discard(session_id, self.roles.user)
        forget_sound(self.home, session_id)
        if draft is not None:
            draft.remove()
        self._drafts.pop(session_id, None)

    # A final record

    def finalise(self, session: Session) -> None:
        """Move a signed session into the database, where it cannot be changed any more.

        On StoreError its journal keeps it, signature included, and the next start moves it.
        """
        if not session.is_final:
            raise StoreError("The session is not signed; go through the review first.")
        self.append(session.id, session.events)

    def amend(self, session_id: str, command: Amend, *, actor: str, at: datetime) -> Session:
        """The session with the amendment, which is kept when this returns.

        Raises ExamError when it does not fit, StoreError when it cannot be kept, ConflictError
        when somebody else amended it at the same time; nothing is amended then.
        """
        name = self.roles.may_sign(command.examiner)
        command = command.model_copy(update={"examiner": name})
        records = self._reading.final(session_id)
        session = session_of(records)
        session.names = self.roles.names
        outcome = session.do(command, actor=actor, at=at)
        self._extend_final(session_id, records, outcome.events)
        return session

    # The audit trail

    def note(
        self,
        action: Action,
        *,
        session: str | None = None,
        patient: str | None = None,
        detail: str = "",
    ) -> None:
        """Keep in the audit trail that this was done.

        What cannot be kept yet waits on the disk; on a full one in memory, for the next call, the
        next event kept, or the closing. It never keeps anybody from reading a record: why it
        waits is told in `notes`.
        """
        self._noting.note(action, self.roles.user, session, patient, detail)

    # All sessions

    def list(self) -> tuple[Entry, ...]:
        """Every session, the latest first.

        If the database fails, the drafts of this machine, and a note; StoreError if none.
        """
        self.recover()
        return self._reading.entries()

    def latest(self) -> str:
        """The session begun last. Raises StoreError for none, and where clocks leave it unsure."""
        self.recover()
        return self._reading.latest()

    def load(self, session_id: str) -> Session:
        """A session to read, draft or final. Raises StoreError when it is not there."""
        self.recover()
        return self._reading.session(session_id)

    def database(self) -> Database:
        """The database, holding all that it can be given. Raises StoreError."""
        self.recover()
        return self.untouched()

    def untouched(self) -> Database:
        """The database as it stands, nothing being put right first. Raises StoreError."""
        return self._connection.database()

    def recover(self) -> None:
        """Put right what a crash left behind; done once, by the first method that needs it.

        Torn lines are cut off, the database gets what it lacks, signed journals move into it.
        What cannot be put right is told in `notes`; nothing is deleted for that. Raises
        StoreError when the folder itself cannot be read.
        """
        if self._recovered:
            return
        self._recovery.all(self._drafts)
        self._recovered = True

    def close(self) -> None:
        """Release all drafts for other programs; nothing is lost but what is in `pending`."""
        self._noting.put()
        for draft in self._drafts.values():
            draft.close()
        self._drafts.clear()
        self._connection.close()

    # Within

    def _look_at_clock(self, now: datetime) -> None:
        """Tell of a clock that was set back since the last examination began."""
        with suppress(StoreError):
            last = self.untouched().last_time()
            self.set_back = clocks.set_back(now, last) if last else None
            if self.set_back:
                self._folder.note(self.set_back)

    def _recover_if_possible(self) -> None:
        try:
            self.recover()
        except StoreError as error:
            self._folder.note(str(error))

    def _mirror(self, session_id: str, draft: Draft) -> None:
        if self._connection.rests:
            return
        begun = time.monotonic()
        try:
            self.untouched().save(session_id, draft.records, hurry=True)
        except ConflictError:
            raise _parted_ways(session_id) from None
        except StoreError as error:
            self.behind = str(error)
            self._connection.failed(begun)
        else:
            self.behind = None

    def _finish(self, session_id: str, draft: Draft) -> None:
        """Move a signed draft into the database; only then does its journal go.

        What failed once is tried again in a hurry and not at once: somebody sits at the screen.
        """
        if draft.refused is not None and self._connection.rests:
            raise draft.refused
        begun = time.monotonic()
        try:
            self.untouched().save(session_id, draft.records, hurry=draft.refused is not None)
        except StoreError as error:
            self._connection.failed(begun if draft.refused is not None else None)
            draft.refused = error
            raise
        self.behind = None
        draft.remove()
        self._drafts.pop(session_id, None)

    def _append_final(self, session_id: str, events: Iterable[Event]) -> None:
        records = self._reading.final(session_id)
        new = continuing([each.event for each in records], list(events), session_id)
        if new:
            self._extend_final(session_id, records, new)

    def _extend_final(
        self, session_id: str, records: Sequence[Record], new: Sequence[Event]
    ) -> None:
        """Raises ConflictError when somebody else extended it since it was read."""
        added = linked(self.unlocked(), new, records[-1].hash)
        self.untouched().save(session_id, (*records, *added))

    def _reopened(self, session_id: str) -> Draft:
        """The draft of that id, locked; made anew if only the database has it."""
        if self._folder.has(session_id):
            draft = self._folder.open(session_id)
            try:
                self._recovery.complete(session_id, draft)
            except StoreError as error:  # out of reach: what is here will do
                self._folder.note(str(error))
            return draft
        return self._folder.restore(session_id, self._reading.draft(session_id))


def new_id(at: datetime) -> str:
    """An id for a session that starts now: its time, and four characters against doubles."""
    return f"{at:%Y%m%d-%H%M%S}-{secrets.token_hex(2)}"


def _parted_ways(session_id: str) -> ConflictError:
    return ConflictError(
        f"Session {session_id} is being changed on another chair; what is recorded here is kept "
        "on this machine and becomes a draft of its own: leave it and open the session again."
    )
