"""All rows of a store taken from one database into another as they are, sealed cells unopened.

A server's database becomes an SQLite file, which is what a backup holds, and the other way round.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from sqlalchemy import (
    Connection,
    Engine,
    TableClause,
    column,
    create_engine,
    func,
    insert,
    select,
    table,
    text,
)
from sqlalchemy.pool import NullPool

from dictate.errors import StoreError
from dictate.store import guards
from dictate.store.engine import PATIENCE_MS, make_engine
from dictate.store.failures import told
from dictate.store.schema import prepare, take_turn, version_of
from dictate.store.tables import SCHEMA, Base, SchemaRow

AT_ONCE = 500
_VERSION = SchemaRow.__tablename__
_TABLES: tuple[TableClause, ...] = tuple(
    table(each.name, *(column(name) for name in each.columns.keys()))  # noqa: SIM118
    for each in Base.metadata.sorted_tables
    if each.name != _VERSION
)
"""Without the types that would open and seal; those that others refer to first."""
_NUMBERED = ("events", "erasures")
_OF_NO_RECORD = ("store_key",)


def copy_out(source: Engine, file: Path) -> None:
    """A new SQLite database in that (empty) file: the source at one moment, while it is in use.

    Raises StoreError, OSError, SQLAlchemyError.
    """
    with _scratch(file) as target, target.begin() as into, _reading(source) as rows:
        if version_of(rows) != SCHEMA:
            raise StoreError(
                "The database was brought to a later version meanwhile; update dictate."
            )
        Base.metadata.create_all(into)
        into.execute(insert(SchemaRow).values(version=SCHEMA))
        with guards.lifted(into):
            _copy(rows, into)


def copy_in(file: Path, home: Path, url: str) -> None:
    """Everything in that SQLite database into the empty one at the URL; all of it or nothing.

    Raises StoreError where there is something in it already.
    """
    with told("restore into the database"):
        server = make_engine(home, url)
        try:
            writing = server.execution_options(patience_ms=PATIENCE_MS)
            prepare(server, writing)
            with _scratch(file) as source, source.connect() as rows, writing.begin() as into:
                take_turn(into)
                _refuse_filled(into)
                with guards.lifted(into):
                    for each in _OF_NO_RECORD:
                        into.exec_driver_sql(f"DELETE FROM {each}")
                    _copy(rows, into)
                _count_on(into)
        finally:
            server.dispose()


def refuse_filled(home: Path, url: str) -> None:
    """Raises StoreError where the database at the URL holds anything, or does not answer."""
    with told("open the database"):
        server = make_engine(home, url)
        try:
            with server.connect() as connection:
                if version_of(connection):
                    _refuse_filled(connection)
        finally:
            server.dispose()


def _refuse_filled(connection: Connection) -> None:
    for each in _TABLES:
        if each.name not in _OF_NO_RECORD and connection.execute(select(each).limit(1)).first():
            raise StoreError(
                "The database on the server holds records already, and is not replaced; "
                "restore into an empty one."
            )


def _copy(source: Connection, target: Connection) -> None:
    for each in _TABLES:
        first = next(iter(each.columns))
        rows = source.execution_options(yield_per=AT_ONCE).execute(select(each).order_by(first))
        for part in rows.mappings().partitions():
            target.execute(insert(each), [dict(row) for row in part])


def _count_on(connection: Connection) -> None:
    """Numbers that a server gives go on behind those that were copied."""
    if connection.dialect.name != "postgresql":
        return
    for name in _NUMBERED:
        last = connection.scalar(select(func.max(column("id"))).select_from(table(name)))
        if last is not None:
            count = text("SELECT setval(pg_get_serial_sequence(:name, 'id'), :last)")
            connection.execute(count, {"name": name, "last": last})


@contextmanager
def _reading(source: Engine) -> Iterator[Connection]:
    """One transaction that sees one moment: the engine begins readers that way."""
    with source.connect() as connection, connection.begin():
        yield connection


@contextmanager
def _scratch(file: Path) -> Iterator[Engine]:
    """An SQLite file by its name alone, with no files beside it."""
    engine = create_engine(f"sqlite:///{file}", hide_parameters=True, poolclass=NullPool)
    try:
        yield engine
    finally:
        engine.dispose()
