"""The version of a database: made new, brought up from an earlier one, or refused."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from sqlalchemy import Connection, Engine, func, insert, inspect, select, text

from dictate.errors import StoreError
from dictate.store import guards
from dictate.store.tables import SCHEMA, Base, SchemaRow

_TURN = 0x64696374
"""Names the lock that programs take on a PostgreSQL server while they change the tables."""

TURN_MS = 60_000

CopyFirst = Callable[[int], object]
"""Keeps a copy of the database of that version, before it is changed."""


def prepare(
    reading: Engine,
    writing: Engine,
    copy_first: CopyFirst | None = None,
    attributes: Mapping[str, object] | None = None,
) -> None:
    """Make the tables, or migrate them; all of it or nothing. Raises StoreError for a later one.

    `attributes` is what the steps may look at; see `migrations`.
    """
    with reading.connect() as connection:
        if version_of(connection) == SCHEMA:
            return
    with writing.begin() as connection:
        take_turn(connection)
        found = version_of(connection)
        if found > SCHEMA:
            raise StoreError(
                f"The database is of a later version ({found}) than this program "
                f"({SCHEMA}); update dictate."
            )
        if found == 0:
            Base.metadata.create_all(connection)
            connection.execute(insert(SchemaRow).values(version=SCHEMA))
        elif found < SCHEMA:
            if copy_first is not None:
                copy_first(found)
            _migrate(connection, found, attributes)


def version_of(connection: Connection) -> int:
    """The version of the database; 0 when it is empty."""
    if not inspect(connection).has_table(SchemaRow.__tablename__):
        return 0
    return connection.scalar(select(func.max(SchemaRow.version))) or 0


def _migrate(connection: Connection, found: int, attributes: Mapping[str, object] | None) -> None:
    from dictate.store.migrations import migrate  # Alembic takes a quarter of a second to load

    with guards.lifted(connection):
        migrate(connection, found, attributes)


def take_turn(connection: Connection) -> None:
    """Wait until no other program makes or changes tables; SQLite's writers take turns anyhow.

    Longer than for a write: twenty chairs may be switched on at once.
    """
    if connection.dialect.name == "postgresql":
        connection.execute(text(f"SET LOCAL lock_timeout = {TURN_MS}"))
        connection.execute(text("SELECT pg_advisory_xact_lock(:turn)"), {"turn": _TURN})
