"""Drafts on this machine: their folder, and those open here with what waits to be kept."""

from __future__ import annotations

import os
import re
from collections.abc import Sequence
from pathlib import Path

from dictate.errors import StoreError
from dictate.exam.events import Event, Signed
from dictate.store.chain import Record, seal
from dictate.store.failures import told
from dictate.store.journal import Journal

END = ".jsonl"
NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{0,63}")


class DraftFolder:
    """One journal file a draft."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def path(self, session_id: str) -> Path:
        """Where the draft's journal is. Raises StoreError for an id that is no file name."""
        if not NAME.fullmatch(session_id):
            raise StoreError(
                "That is no session id; list the sessions to see theirs "
                "(letters, digits, dots, dashes; at most 64)."
            )
        return self.folder / f"{session_id}{END}"

    def has(self, session_id: str) -> bool:
        """True if the draft's journal is there. Raises StoreError as `path` does."""
        path = self.path(session_id)
        with told("look for the draft"):
            return path.exists()

    def ids(self) -> tuple[str, ...]:
        """Ids of all drafts here, open or not. Raises StoreError for an unreadable folder."""
        with told("look for drafts"):
            if not self.folder.exists():
                return ()
            return tuple(sorted(Path(n).stem for n in os.listdir(self.folder) if n.endswith(END)))


class Draft:
    """A draft open here. What could not be written yet waits in `pending`."""

    def __init__(self, path: Path, journal: Journal | None = None) -> None:
        self.path = path
        self.journal = journal
        self.pending: list[Event] = []

    @property
    def events(self) -> tuple[Event, ...]:
        """Those on the disk."""
        return tuple(each.event for each in self.records)

    @property
    def is_signed(self) -> bool:
        return any(isinstance(each.body, Signed) for each in self.events)

    @property
    def records(self) -> tuple[Record, ...]:
        return self.journal.records if self.journal else ()

    def take(self, events: Sequence[Event]) -> None:
        """Add new events to those that wait; ones taken before are passed over.

        Raises StoreError, taking none, when the events do not continue the draft.
        """
        known = [*self.events, *self.pending]
        self.pending += continuing(known, events, self.path.stem)

    def flush(self) -> None:
        """Write what waits. Raises StoreError, all still waiting, when that fails."""
        if self.journal is None:
            self.journal = Journal.create(self.path)
        if self.pending:
            self.journal.append(seal(self.pending, self.journal.head))
            self.pending.clear()


def continuing(known: Sequence[Event], events: Sequence[Event], session_id: str) -> list[Event]:
    """Those of the events that come after the known ones. Raises StoreError on a misfit."""
    new: list[Event] = []
    for event in sorted(events, key=lambda each: each.seq):
        place = event.seq - 1
        if place < len(known):
            fits = known[place] == event
        else:
            fits = place == len(known) + len(new)
            new.append(event)
        if not fits:
            raise StoreError(
                f"Event {event.seq} does not continue session {session_id} as it is kept; "
                "resume the session and go on from there."
            )
    return new
