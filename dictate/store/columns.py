"""Columns of the database whose content is sealed; the same in SQLite and PostgreSQL.

Which key seals them belongs to the engine: `unlock` it before the first query.
"""

from __future__ import annotations

from weakref import WeakKeyDictionary

from sqlalchemy import Dialect, Engine, Text
from sqlalchemy.types import TypeDecorator

from dictate.errors import StoreError
from dictate.store.primitives import BrokenSealError
from dictate.store.sealing import Sealer, damaged

_SEALERS: WeakKeyDictionary[Dialect, Sealer] = WeakKeyDictionary()


def unlock(engine: Engine, sealer: Sealer) -> None:
    """From now on sealed columns of this engine are read and written with that key."""
    _SEALERS[engine.dialect] = sealer


def sealer_of(dialect: Dialect) -> Sealer:
    """The key of an engine. Raises StoreError where it was never unlocked."""
    try:
        return _SEALERS[dialect]
    except KeyError:
        raise StoreError("The database is locked; give its passphrase first.") from None


class Sealed(TypeDecorator[str]):
    """A text that is sealed; a database cannot search it. `place`: "table.column"."""

    impl = Text
    cache_ok = True

    def __init__(self, place: str) -> None:
        super().__init__()
        self.place = place

    def process_bind_param(self, value: str | None, dialect: Dialect) -> str | None:
        return None if value is None else self._close(sealer_of(dialect), value)

    def process_result_value(self, value: str | None, dialect: Dialect) -> str | None:
        if value is None:
            return None
        try:
            return self._open(sealer_of(dialect), value)
        except BrokenSealError:
            raise damaged(f"A cell of {self.place} in the database") from None

    def _close(self, sealer: Sealer, text: str) -> str:
        return sealer.seal(text, self.place)

    def _open(self, sealer: Sealer, sealed: str) -> str:
        return sealer.open(sealed, self.place)


class Findable(Sealed):
    """A text that is sealed so that equal ones can be found; who looks sees which are equal."""

    cache_ok = True

    def _close(self, sealer: Sealer, text: str) -> str:
        return sealer.seal_alike(text, self.place)

    def _open(self, sealer: Sealer, sealed: str) -> str:
        return sealer.open_alike(sealed, self.place)
