"""Databases of every earlier version are brought up to date: whole, or left as they were."""

from __future__ import annotations

import os
import random
import signal
import sqlite3
import stat
import time
from contextlib import closing
from pathlib import Path
from typing import BinaryIO

import pytest
from sqlalchemy import Connection, Engine, create_engine, inspect, text

from dictate.errors import StoreError
from dictate.exam.events import Event
from dictate.store import guards, safety_copy
from dictate.store.backup_file import unpack
from dictate.store.conversion import opened_or_made
from dictate.store.database import Database
from dictate.store.store import Store
from dictate.store.tables import SCHEMA
from dictate.store.worklist import Worklist
from tests.old_stores import OPEN, STATES, VERSIONS, dump_of, old_events, old_home
from tests.store_script import in_child
from tests.test_store_failures import limit_files_to

KILLS = 40


def copies(home: Path) -> list[Path]:
    """Sealed, of a database that was not; else as it was."""
    folder = home / safety_copy.FOLDER
    return sorted([*folder.glob("*.backup"), *folder.glob("*.db")])


def unpacked(copy: Path, home: Path, into: Path) -> Path:
    """The database in a copy."""
    if copy.suffix == ".db":
        return copy

    def put(name: str, content: BinaryIO) -> None:
        (into / Path(name).name).write_bytes(content.read())

    unpack(copy, opened_or_made(home), put)
    return into / "records.db"


def version_in(file: Path) -> int:
    with closing(sqlite3.connect(file)) as database:
        (version,) = database.execute("SELECT max(version) FROM schema_version").fetchone()
    return int(version)


def check_all_there(home: Path, version: int) -> None:
    """Every event that the earlier version wrote, and nothing else."""
    with Store(home) as store:
        assert {each.id: each.state for each in store.list()} == STATES
        for name, events in old_events(version).items():
            kept = store.load(name).events
            assert kept == tuple(Event.model_validate(each) for each in events)
        assert store.notes == ()
        assert {each.session for each in Worklist(store).visits()} == {"s1", "s3"}
    with closing(sqlite3.connect(home / "records.db")) as database:
        assert database.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        assert database.execute("PRAGMA foreign_key_check").fetchall() == []


@pytest.mark.parametrize("version", VERSIONS)
def test_an_earlier_database_opens_with_all_that_it_held(tmp_path: Path, version: int) -> None:
    home = old_home(tmp_path / "home", version)
    check_all_there(home, version)
    assert version_in(home / "records.db") == SCHEMA
    with Store(home) as store:
        assert store.resume("s2").events[-1].seq == len(old_events(version)["s2"])


@pytest.mark.parametrize("version", VERSIONS)
def test_a_copy_is_kept_first_for_its_owner_alone(tmp_path: Path, version: int) -> None:
    home = old_home(tmp_path / "home", version)
    journal = (home / "drafts" / "s2.jsonl").read_bytes()
    with Store(home) as store:
        store.list()
    (copy,) = copies(home)
    with closing(sqlite3.connect(unpacked(copy, home, tmp_path))) as database:
        assert "\n".join(database.iterdump()).strip() == dump_of(version).strip()
    if version in OPEN:
        assert (tmp_path / "s2.jsonl").read_bytes() == journal
    else:
        assert (home / "drafts" / "s2.jsonl").read_bytes() == journal, "no draft is changed"
    assert b"session_started" not in copy.read_bytes()
    assert stat.S_IMODE(copy.stat().st_mode) == 0o600
    assert stat.S_IMODE(copy.parent.stat().st_mode) == 0o700
    with Store(home) as store:
        store.list()
    assert copies(home) == [copy]


def copy_rows(version: int, connection: Connection) -> None:
    """Put what that version wrote into another database of the same version."""
    with closing(sqlite3.connect(":memory:")) as source:
        source.executescript(dump_of(version))
        source.row_factory = sqlite3.Row
        for table in ("sessions", "events", *(("patients", "visits") if version > 1 else ())):
            for row in source.execute(f"SELECT * FROM {table}").fetchall():
                names = [each for each in dict(row) if (table, each) != ("events", "id")]
                places = ", ".join(f":{name}" for name in names)
                connection.execute(
                    text(f"INSERT INTO {table} ({', '.join(names)}) VALUES ({places})"),
                    {name: row[name] for name in names},
                )


def shape(engine: Engine) -> dict[str, object]:
    """Tables with their columns, keys and indexes, as SQLAlchemy reads them back."""
    tables = inspect(engine)
    return {
        name: (
            [
                (each["name"], str(each["type"]), each["nullable"])
                for each in tables.get_columns(name)
            ],
            tables.get_pk_constraint(name)["constrained_columns"],
            sorted(
                (each["constrained_columns"], each["referred_table"])
                for each in tables.get_foreign_keys(name)
            ),
            sorted(each["column_names"] for each in tables.get_unique_constraints(name)),
            sorted(
                (each["name"], each["column_names"])
                for each in tables.get_indexes(name)
                if not each.get("duplicates_constraint")
            ),
        )
        for name in tables.get_table_names()
    }


@pytest.mark.parametrize("version", VERSIONS)
def test_a_migrated_database_is_as_one_made_new(tmp_path: Path, version: int) -> None:
    home = old_home(tmp_path / "home", version)
    for folder in (home, tmp_path / "new"):
        Database.open(folder, opened_or_made(folder)).close()
    engines = [create_engine(f"sqlite:///{f / 'records.db'}") for f in (home, tmp_path / "new")]
    migrated, new = map(shape, engines)
    assert migrated == new
    for engine in engines:
        with engine.connect() as connection:
            assert guards.missing(connection) == ()
        engine.dispose()


def test_what_is_killed_at_any_moment_leaves_the_old_or_the_new(tmp_path: Path) -> None:
    """kill -9 from outside after a random time; what it left is opened again."""
    chance, seen = random.Random(20310304), []
    whole_s = _took(old_home(tmp_path / "timed", 1))
    for turn in range(KILLS):
        version = VERSIONS[turn % len(VERSIONS)]
        home = old_home(tmp_path / str(turn), version)
        child = os.fork()
        if child == 0:  # pragma: no cover
            with Store(home) as store:
                store.list()
            os._exit(0)
        time.sleep(chance.uniform(0.0, 1.2 * whole_s))
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        seen.append(version_in(home / "records.db"))
        assert seen[-1] in (version, SCHEMA)
        check_all_there(home, version)
        assert version_in(home / "records.db") == SCHEMA
        assert copies(home)
        assert not list((home / safety_copy.FOLDER).glob(f"*{safety_copy.UNFINISHED}"))
    old = sum(each != SCHEMA for each in seen)
    print(f"migrations killed: {KILLS}, found old {old}, found new {KILLS - old}, lost 0")
    assert old > 0, "no kill came before the end; the times are wrong"


def _took(home: Path) -> float:
    """How long a migration takes, Alembic being loaded."""
    with Store(home) as store:
        store.list()
    begun = time.monotonic()
    again = old_home(home.with_name("timed again"), 1)
    in_child(lambda: Database.open(again, opened_or_made(again)).close())
    return time.monotonic() - begun


def test_two_programs_that_open_it_at_once_migrate_it_once(tmp_path: Path) -> None:
    home = old_home(tmp_path / "home", 1)
    children = []
    for _ in range(4):
        child = os.fork()
        if child == 0:  # pragma: no cover
            try:
                Database.open(home, opened_or_made(home)).close()
            except BaseException:
                os._exit(1)
            os._exit(0)
        children.append(child)
    assert [os.waitpid(child, 0)[1] for child in children] == [0] * 4
    with closing(sqlite3.connect(home / "records.db")) as database:
        rows = database.execute("SELECT version FROM schema_version ORDER BY version").fetchall()
    assert rows == [(each,) for each in range(1, SCHEMA + 1)]
    assert len(copies(home)) == 1
    check_all_there(home, 1)


def test_a_full_disk_leaves_the_old_database(tmp_path: Path) -> None:
    home = old_home(tmp_path / "home", 1)

    def open_it() -> None:
        limit_files_to(20_000)
        with pytest.raises(StoreError, match="Cannot"):
            Database.open(home, opened_or_made(home))

    in_child(open_it)
    assert version_in(home / "records.db") == 1
    assert copies(home) == []
    check_all_there(home, 1)


def test_a_fault_in_a_step_leaves_the_old_database(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    home = old_home(tmp_path / "home", 1)
    with closing(sqlite3.connect(home / "records.db")) as database:
        before = list(database.iterdump())

    def fail(_: object) -> None:
        raise StoreError("no guard today")

    with monkeypatch.context() as patch:
        patch.setattr(guards, "make", fail)
        with pytest.raises(StoreError, match="no guard today"):
            Database.open(home, opened_or_made(home))
    with closing(sqlite3.connect(home / "records.db")) as database:
        assert list(database.iterdump()) == before
    check_all_there(home, 1)
