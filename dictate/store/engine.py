"""Connections to the database: SQLite in the home folder, or a server by its URL."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event
from sqlalchemy.engine import URL, make_url
from sqlalchemy.exc import ArgumentError, NoSuchModuleError

from dictate.errors import StoreError
from dictate.store.home import make_file, make_folder

PATIENCE_MS, HURRY_MS = 5000, 250
"""How long another program may hold the database before a write is given up. In a hurry
where the journal has the events already: the chair must not stand still for that."""
CONNECT_S = 3
"""How long a server may take to answer."""
DATABASE = "records.db"


def make_engine(folder: Path, url: str | None) -> Engine:
    """The database of that URL, or `folder`/records.db, which is made where missing.

    Nothing is connected to yet. Raises StoreError for a URL that cannot be used, OSError.
    """
    try:
        made = _engine(make_url(url or f"sqlite:///{folder / DATABASE}"))
        made.dialect.create_connect_args(made.url)  # what it cannot make sense of is told now
    except (ArgumentError, NoSuchModuleError, ImportError, ValueError):
        raise StoreError(
            "That database URL cannot be used; check how it is written and that the driver it "
            "names is installed (for PostgreSQL: pip install 'dictate[chairs]')."
        ) from None
    if made.dialect.name == "sqlite":
        event.listen(made, "connect", _set_up_sqlite)
        event.listen(made, "begin", _begin_sqlite)
        file = file_of(made)
        if file is not None:
            make_folder(file.parent)
            make_file(file)
    elif made.dialect.name == "postgresql":
        event.listen(made, "begin", _begin_postgresql)
    return made


def file_of(engine: Engine) -> Path | None:
    """The file of an SQLite database; None for one in memory or on a server."""
    name = engine.url.database
    if engine.dialect.name != "sqlite" or not name or name == ":memory:":
        return None
    return Path(name)


def _engine(url: URL) -> Engine:
    if url.drivername in ("postgres", "postgresql"):
        url = url.set(drivername="postgresql+psycopg")
    if url.get_backend_name() != "postgresql":
        return create_engine(url, hide_parameters=True)
    # A connection that the server has cut meanwhile is replaced before it is used.
    return create_engine(
        url,
        hide_parameters=True,
        pool_pre_ping=True,
        connect_args={"connect_timeout": CONNECT_S, "application_name": "dictate"},
    )


def _set_up_sqlite(connection: Any, _: object) -> None:
    """Settings of each connection. A committed transaction survives a power cut (FULL)."""
    connection.isolation_level = None  # transactions begin where `_begin_sqlite` says
    cursor = connection.cursor()
    cursor.execute(f"PRAGMA busy_timeout = {PATIENCE_MS}")
    cursor.execute("PRAGMA journal_mode = WAL")
    cursor.execute("PRAGMA synchronous = FULL")
    cursor.execute("PRAGMA foreign_keys = ON")
    cursor.execute("PRAGMA secure_delete = ON")
    cursor.close()


def _begin_sqlite(connection: Connection) -> None:
    """Writers take their turn at once: two that first read and then write would clash."""
    patience = connection.get_execution_options().get("patience_ms")
    connection.exec_driver_sql(f"PRAGMA busy_timeout = {patience or PATIENCE_MS}")
    connection.exec_driver_sql("BEGIN IMMEDIATE" if patience else "BEGIN")


def _begin_postgresql(connection: Connection) -> None:
    """Who reads sees one moment; a committed write survives a power cut of the server."""
    patience = connection.get_execution_options().get("patience_ms")
    if patience:
        connection.exec_driver_sql("SET LOCAL synchronous_commit = on")
    else:
        connection.exec_driver_sql("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY")
    connection.exec_driver_sql(f"SET LOCAL lock_timeout = {patience or PATIENCE_MS}")
