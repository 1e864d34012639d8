"""The key and the database of a store: opened at need, left alone for a while after a failure."""

from __future__ import annotations

import time
from pathlib import Path

from dictate.errors import StoreError
from dictate.store.conversion import opened_or_made, refuse_planted
from dictate.store.database import Database
from dictate.store.failures import UNREACHABLE
from dictate.store.sealing import Sealer
from dictate.store.shared_key import refuse_second_key

RETRY_S = 5.0
"""A database that failed is left alone for this long, so that dictation is not held up."""
SLOW_S, PATIENT = 1.0, 20
"""One that took longer than that to fail (a server out of reach) is left alone for this many
times as long as it took."""


class Connection:
    """Touches no disk before it is asked for something."""

    def __init__(self, home: Path, url: str | None, sealer: Sealer | None) -> None:
        self._home, self.url, self._sealer = home, url, sealer
        self._database: Database | None = None
        self._wait_until = 0.0
        self._refused: StoreError | None = None

    def unlocked(self) -> Sealer:
        """The key; made, without a passphrase, where there is none yet.

        Raises LockedError when it needs a passphrase, StoreError when it is damaged.
        """
        if self._sealer is None:
            if self.url is not None:
                refuse_second_key(self._home, self.url)
            self._sealer = opened_or_made(self._home)
        return self._sealer

    def database(self) -> Database:
        """Raises StoreError where it cannot be opened."""
        if self._database is None:
            sealer = self.unlocked()
            if self.url is None:
                refuse_planted(self._home)
            self._database = self._opened(sealer)
        return self._database

    @property
    def rests(self) -> bool:
        """True while it is left alone."""
        return time.monotonic() < self._wait_until

    def failed(self, begun: float | None = None) -> None:
        """Leave it alone for a while; `begun`: when it was asked, in monotonic seconds."""
        now = time.monotonic()
        took = 0.0 if begun is None else now - begun
        self._wait_until = now + (RETRY_S if took < SLOW_S else PATIENT * took)

    def close(self) -> None:
        if self._database is not None:
            self._database.close()
            self._database = None

    def _opened(self, sealer: Sealer) -> Database:
        """A server that did not answer just now is not asked again for every draft."""
        if self._refused is not None and self.rests:
            raise self._refused
        begun = time.monotonic()
        try:
            return Database.open(self._home, sealer, self.url)
        except StoreError as error:
            if self.url is not None:
                self._refused = error
                self.failed(begun if UNREACHABLE in str(error) else None)
            raise
