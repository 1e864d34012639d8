"""Puts right what a crash, or another chair, left behind."""

from __future__ import annotations

from collections.abc import Callable, Container
from contextlib import suppress
from pathlib import Path

from dictate.errors import StoreError
from dictate.store import keys
from dictate.store.conversion import holds_records, seal_drafts
from dictate.store.database import Database
from dictate.store.drafts import Draft, DraftFolder, Unlocked
from dictate.store.failures import ConflictError
from dictate.store.journal import DraftInUseError
from dictate.store.parting import parted


class Recovery:
    """Torn lines are cut off, the database gets what it lacks, signed journals move into it."""

    def __init__(
        self,
        home: Path,
        folder: DraftFolder,
        unlocked: Unlocked,
        database: Callable[[], Database],
        finish: Callable[[str, Draft], None],
        kept: Callable[[str], bool],
    ) -> None:
        """`finish`: moves a signed draft into the database; `kept`: whether an id is taken."""
        self._home, self._folder, self._unlocked = home, folder, unlocked
        self._database, self._finish, self._kept = database, finish, kept

    def all(self, but: Container[str]) -> None:
        """Every draft but these. What cannot be put right is told in the folder's notes.

        Raises StoreError when the folder itself cannot be read.
        """
        if holds_records(self._home):
            self._unlocked()
            if keys.is_converting(self._home):
                self._seal_what_is_not()
        for session_id in self._folder.ids():
            if session_id not in but:
                try:
                    self._one(session_id)
                except DraftInUseError:
                    continue  # whoever holds it answers for it
                except StoreError as error:
                    self._folder.note(str(error))

    def part(self, session_id: str, draft: Draft) -> str:
        """Make what another chair did not have of a draft a draft of its own. A line about it."""
        other = parted(draft, self._folder, self._unlocked(), self._kept)
        try:
            if other.is_signed:
                self._finish(other.path.stem, other)
            else:
                self._database().save(other.path.stem, other.records, hurry=True)
        finally:
            other.close()
        draft.remove()
        return (
            f"Session {session_id} was changed on another chair at the same time; what was "
            f"recorded here is kept whole as {other.path.stem}: compare the two."
        )

    def complete(self, session_id: str, draft: Draft) -> None:
        """Give an unsigned draft back what only the database has still."""
        kept = self._database().records(session_id)
        here = len(draft.records)
        if len(kept) > here and kept[:here] == draft.records and not draft.is_signed:
            draft.extend(kept[here:])
            self._folder.note(
                f"The draft {session_id} lacked {len(kept) - here} events at its end; "
                "they were taken from the database."
            )

    def _one(self, session_id: str) -> None:
        draft = self._folder.open(session_id)
        try:
            if not draft.events:
                draft.remove()  # a crash before its first line: nothing was acknowledged
                return
            self.complete(session_id, draft)
            if draft.is_signed:
                self._finish(session_id, draft)
            else:
                self._database().save(session_id, draft.records, hurry=True)
        except ConflictError:
            self._folder.note(self.part(session_id, draft))
        finally:
            draft.close()

    def _seal_what_is_not(self) -> None:
        """Records from before sealing. What fails is told, and tried again the next time."""
        failures: list[StoreError] = []
        try:
            self._database().forget_old_pages()
        except StoreError as error:
            failures.append(error)
        failures += seal_drafts(self._home, self._unlocked())
        for each in failures:
            self._folder.note(str(each))
        if not failures:
            with suppress(StoreError):  # at the next start, then
                keys.conversion_is_done(self._home, self._unlocked())
