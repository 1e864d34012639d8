"""Drafts on this machine: their folder, and those open here with what waits to be kept."""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Mapping, Sequence
from datetime import datetime
from pathlib import Path

from dictate.errors import StoreError
from dictate.exam.events import Event, Signed
from dictate.store.chain import Record, linked
from dictate.store.failures import told
from dictate.store.home import sync_folder
from dictate.store.journal import Journal, lock, read
from dictate.store.sealing import Sealer

END = ".jsonl"
Unlocked = Callable[[], Sealer]
"""Gives the key of the store, and makes it at first need. Raises StoreError."""
NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{0,63}")


class Draft:
    """A draft open here. What could not be written yet waits in `pending`."""

    def __init__(self, path: Path, unlocked: Unlocked, journal: Journal | None = None) -> None:
        self.path = path
        self._unlocked = unlocked
        self.journal = journal
        self.pending: list[Event] = []
        self.refused: StoreError | None = None
        """Why, signed, it could not be moved into the database."""

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
            self.journal = Journal.create(self.path, self._unlocked())
        if self.pending:
            journal = self.journal
            journal.append(linked(journal.sealer, self.pending, journal.head))
            self.pending.clear()

    def extend(self, records: Sequence[Record]) -> None:
        """Write records that continue it and are sealed already. Raises StoreError."""
        if self.journal is not None:
            self.journal.append(records)

    def remove(self) -> None:
        """Delete its file, once its records are kept elsewhere or not wanted."""
        if self.journal is not None:
            self.journal.remove()

    def close(self) -> None:
        """Release it for other programs. May be called twice."""
        if self.journal is not None:
            self.journal.close()


class DraftFolder:
    """One journal file a draft. `notes` tell what was found wrong with them."""

    def __init__(self, folder: Path, unlocked: Unlocked) -> None:
        self.folder = folder
        self._unlocked = unlocked
        self.notes: list[str] = []

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

    def note(self, line: str) -> None:
        """Keep a line to show, once."""
        if line not in self.notes:
            self.notes.append(line)

    def new(self, session_id: str) -> Draft:
        """One that is not on the disk yet. Raises StoreError as `path` does."""
        return Draft(self.path(session_id), self._unlocked)

    def open(self, session_id: str) -> Draft:
        """The draft, locked. Notes what had to be cut off its end. Raises StoreError."""
        path = self.path(session_id)
        journal, torn = Journal.open(path, self._unlocked())
        if torn:
            self.note(
                f"The last step of the draft {session_id} was cut short by a crash "
                f"({len(torn)} bytes, kept beside it); it had not been acknowledged."
            )
        return Draft(path, self._unlocked, journal)

    def restore(self, session_id: str, records: Sequence[Record]) -> Draft:
        """A journal made anew from records that are kept elsewhere."""
        path = self.path(session_id)
        draft = Draft(path, self._unlocked, Journal.create(path, self._unlocked()))
        draft.extend(records)
        return draft

    def delete(self, session_id: str) -> None:
        """Delete a draft's files, whatever state they are in.

        Raises DraftInUseError when another program holds it, StoreError.
        """
        path = self.path(session_id)
        with told("delete the draft"), open(path, "rb") as file:
            lock(file.fileno(), path)
            path.unlink()
            path.with_suffix(".torn").unlink(missing_ok=True)
            sync_folder(path.parent)

    def read(self, session_id: str) -> tuple[Event, ...]:
        """The events of a draft, open or not, without holding it."""
        return tuple(each.event for each in self.records(session_id))

    def records(self, session_id: str) -> tuple[Record, ...]:
        """The same with their chain."""
        return read(self.path(session_id), self._unlocked()).records

    def latest(self, mine: Mapping[str, Draft]) -> dict[str, datetime]:
        """Drafts open here and those not open elsewhere, with their last times, latest first.

        Raises StoreError when there is none.
        """
        found = [(draft.events[-1].at, each) for each, draft in mine.items() if draft.events]
        refused: list[StoreError] = []
        for session_id in self.ids():
            if session_id not in mine:
                try:
                    draft = self.open(session_id)
                except StoreError as error:
                    refused.append(error)
                else:
                    draft.close()
                    found += [(each.at, session_id) for each in draft.events[-1:]]
        if found:
            return {session_id: at for at, session_id in sorted(found, reverse=True)}
        raise (
            refused[0]
            if refused
            else StoreError("There is no draft to resume; start a new examination.")
        )


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
