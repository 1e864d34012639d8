"""What the store holds, looked up in the database and in the drafts of this machine."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping

from dictate.errors import StoreError
from dictate.exam.events import Event
from dictate.exam.session import Session
from dictate.store import clocks
from dictate.store.chain import Record
from dictate.store.database import Database
from dictate.store.drafts import Draft, DraftFolder
from dictate.store.entry import Entry, summary


class Reading:
    """Changes nothing."""

    def __init__(
        self, folder: DraftFolder, drafts: Mapping[str, Draft], database: Callable[[], Database]
    ) -> None:
        """`drafts`: those that are open here."""
        self._folder, self._drafts, self._database = folder, drafts, database

    def entries(self) -> tuple[Entry, ...]:
        """Every session, the latest first.

        If the database fails, the drafts of this machine, and a note; StoreError if none.
        """
        drafts = self._folder.ids()
        entries: dict[str, Entry] = {}
        try:
            entries |= {each.id: each for each in self._database().entries()}
        except StoreError as error:
            if not drafts:
                raise
            self._folder.note(str(error))
        for session_id in drafts:
            if session_id not in entries:
                entries |= self._drafted(session_id)
        return tuple(sorted(entries.values(), key=lambda each: each.created, reverse=True))

    def latest(self) -> str:
        """The session begun last. Raises StoreError for none, and where clocks leave it unsure."""
        times = {each.id: each.created for each in self.entries()}
        if not times:
            raise StoreError("There is no session yet; `dictate exam` begins one.")
        try:
            begun = self._database().begun_last()
        except StoreError:
            begun = None
        return clocks.latest(times, *(begun or (None, None)))

    def latest_draft(self) -> str:
        """The draft worked on last that is not open here. Raises StoreError as `latest` does."""
        times = self._folder.latest(self._drafts)
        try:
            written = self._database().written_last(times)
        except StoreError:
            written = None
        return clocks.latest(times, written, times.get(written or ""))

    def session(self, session_id: str) -> Session:
        """A session to read, draft or final. Raises StoreError when it is not there."""
        draft = self._drafts.get(session_id)
        if draft is not None:
            return Session.from_events([*draft.events, *draft.pending])
        if self._folder.has(session_id):
            return Session.from_events(self._newest(session_id))
        return session_of(self.records(session_id))

    def records(self, session_id: str) -> tuple[Record, ...]:
        """Of a session in the database. Raises StoreError when it is not there."""
        records = self._database().records(session_id)
        if not records:
            raise unknown(session_id)
        return records

    def final(self, session_id: str) -> tuple[Record, ...]:
        """The same of a signed one. Raises StoreError for a draft too."""
        self._folder.path(session_id)
        records = self.records(session_id)
        if not _is_final(session_id, records):
            raise StoreError(f"Session {session_id} is a draft; resume it to go on with it.")
        return records

    def draft(self, session_id: str) -> tuple[Record, ...]:
        """The same of a draft. Raises StoreError for a signed one too."""
        records = self.records(session_id)
        if _is_final(session_id, records):
            raise not_a_draft(session_id)
        return records

    def knows(self, session_id: str) -> bool:
        """True if a session of that id is known, as far as disk and database can be asked."""
        try:
            return self._folder.has(session_id) or any(
                each.id == session_id for each in self._database().entries()
            )
        except StoreError:
            return False

    def _newest(self, session_id: str) -> tuple[Event, ...]:
        """Of a draft not open here: what is on this disk, or what another chair went on to."""
        here = self._folder.read(session_id)
        try:
            kept = tuple(each.event for each in self._database().records(session_id))
        except StoreError:
            return here
        return kept if kept[: len(here)] == here else here

    def _drafted(self, session_id: str) -> dict[str, Entry]:
        try:
            return {session_id: summary(session_id, self._folder.read(session_id))}
        except StoreError as error:
            self._folder.note(str(error))
            return {}


def _is_final(session_id: str, records: Iterable[Record]) -> bool:
    return summary(session_id, [each.event for each in records]).state == "final"


def session_of(records: Iterable[Record]) -> Session:
    return Session.from_events(each.event for each in records)


def not_a_draft(session_id: str) -> StoreError:
    return StoreError(f"Session {session_id} is final; amend it to correct it.")


def unknown(session_id: str) -> StoreError:
    return StoreError(
        f"There is no session {session_id}; list the sessions to see which there are."
    )
