"""Takes what is to be noted in the audit trail, and keeps what cannot be kept yet."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from dictate.errors import StoreError
from dictate.store import outbox, trail
from dictate.store.database import Database
from dictate.store.sealing import Sealer
from dictate.store.trail import Action, TrailEntry


class Noting:
    """First on the disk, then in the database; on a full disk in memory until `put` succeeds."""

    def __init__(
        self,
        home: Path,
        unlocked: Callable[[], Sealer],
        database: Callable[[], Database],
        tell: Callable[[str], None],
    ) -> None:
        """`tell`: takes a line about what cannot be kept yet."""
        self._home, self._unlocked, self._database, self._tell = home, unlocked, database, tell
        self._waiting: list[TrailEntry] = []

    def note(
        self, action: Action, by: str | None, session: str | None, patient: str | None, detail: str
    ) -> None:
        """Keep that this was done, as far as it can be kept now."""
        try:
            mark = trail.mark_of(self._unlocked(), patient) if patient else None
        except StoreError as error:
            self._tell(str(error))
            return
        entry = trail.made(action, by, session=session, patient=mark, detail=detail)
        self._waiting.append(entry)
        self._put()

    def put(self) -> None:
        """Try again to keep what the disk refused, if anything."""
        if self._waiting:
            self._put()

    def _put(self) -> None:
        try:
            while self._waiting:
                outbox.put(self._home, self._unlocked(), self._waiting[0])
                del self._waiting[0]
            outbox.empty(self._home, self._database())
        except StoreError as error:
            self._tell(str(error))
