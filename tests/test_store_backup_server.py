"""Backups of a store on a PostgreSQL server: of one moment, and back into SQLite or a server."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from dictate.errors import StoreError
from dictate.exam.patients import Patient
from dictate.exam.session import Session
from dictate.store import keys
from dictate.store.backup import back_up
from dictate.store.copying import copy_in
from dictate.store.erasure import erase, erasures
from dictate.store.patients import PatientBook
from dictate.store.people import People
from dictate.store.store import Store
from dictate.store.verifying import verify
from tests.backed_up_while_written import all_is_there, backups_while_written
from tests.cli_inside import inside
from tests.cli_runner import assert_refused
from tests.exam_samples import PROTOCOL, START, Chair
from tests.postgres import Cluster
from tests.store_script import run
from tests.test_store_backup import CHEAP, PASSPHRASE, backed_up, events_in, opened, restored
from tests.test_store_worklist import visit

TABLES = ("sessions", "events", "patients", "visits", "erasures", "trail", "store_key")


@pytest.fixture
def home(tmp_path: Path, url: str) -> Path:
    """A chair's home; the server holds a signed and an erased session, a draft, people."""
    with Store(tmp_path / "home", url) as store:
        run(store)
        visit(store, patient="P-18", session="gone")
        erase(store, "P-18", by="A. Berg", at=START)
        People(store.database()).add("A. Berg", "examiner")
        PatientBook(store).register(Patient.of("P-17", "Quillfeather", 1961))
        seat = Chair(Session.start("s2", PROTOCOL, START, patient="P-17"))
        store.create(seat.session)
        store.append("s2", seat.plaque().events)
        store.note("viewed", session="s1", patient="P-17")
    return tmp_path / "home"


def of_server(home: Path, url: str, target: Path) -> Path:
    with Store(home, url) as store:
        sealer = store.unlocked()
        key = keys.wrapped_file(sealer, PASSPHRASE, cost=CHEAP)
        back_up(home, sealer, key, target, server=store.database().copy_into)
    return target


def rows_on(cluster: Cluster, url: str) -> dict[str, list[tuple[object, ...]]]:
    """As the driver alone reads them."""
    with cluster.connect(url) as server:
        return {
            name: sorted(server.execute(f"SELECT * FROM {name}").fetchall())  # type: ignore[call-overload]
            for name in TABLES
        }


def rows_in(file: Path) -> dict[str, list[tuple[object, ...]]]:
    with closing(sqlite3.connect(file)) as database:
        return {
            name: sorted(database.execute(f"SELECT * FROM {name}").fetchall()) for name in TABLES
        }


def is_right(store: Store) -> None:
    assert verify(store.untouched(), store.folder).faults == []


def test_into_sqlite_cell_by_cell(home: Path, url: str, cluster: Cluster, tmp_path: Path) -> None:
    backup = of_server(home, url, tmp_path / "b")
    before = rows_on(cluster, url)
    assert all(before[name] for name in TABLES if name != "visits")
    done = restored(backup, tmp_path / "new")
    assert (done.sessions, done.notes) == (2, ())
    assert rows_in(tmp_path / "new" / "records.db") == before
    with Store(home, url) as server, opened(tmp_path / "new") as store:
        is_right(store)
        assert events_in(server) == events_in(store)
        assert PatientBook(server).all() == PatientBook(store).all()
        assert erasures(server) == erasures(store) != ()
        assert store.resume().id == "s2"
        with pytest.raises(StoreError, match="is final and is kept"):
            store.discard("s1")
    assert not [each for each in home.iterdir() if ".part" in each.name]


def test_into_another_server_and_on_there(
    home: Path, url: str, cluster: Cluster, tmp_path: Path
) -> None:
    backup, other, new = of_server(home, url, tmp_path / "b"), cluster.database(), tmp_path / "new"
    before = rows_on(cluster, url)
    done = restored(backup, new, url=other)
    assert (done.sessions, done.notes) == (2, ())
    assert rows_on(cluster, other) == before
    assert not (new / "records.db").exists()
    with Store(new, other, sealer=keys.unlock(new, PASSPHRASE)) as store:
        is_right(store)
        seat = Chair(store.resume("s2"))
        store.append("s2", seat.plaque(side="right").events)
        assert store.behind is None
        store.create(Session.start("s3", PROTOCOL, START))
        assert {each.id for each in store.list()} == {"s1", "s2", "s3"}
        is_right(store)
        with cluster.connect(other) as server, pytest.raises(Exception, match="never changed"):
            server.execute("UPDATE events SET seq = 99")


def test_from_sqlite_to_a_server(tmp_path: Path, url: str, cluster: Cluster) -> None:
    with Store(tmp_path / "home") as store:
        run(store)
    backup = backed_up(tmp_path / "home", tmp_path / "b")
    restored(backup, tmp_path / "new", url=url)
    assert rows_on(cluster, url) == rows_in(tmp_path / "home" / "records.db")


def test_a_server_that_holds_something_is_not_replaced(
    home: Path, url: str, cluster: Cluster, tmp_path: Path
) -> None:
    backup = of_server(home, url, tmp_path / "b")
    before = rows_on(cluster, url)
    for replace in (False, True):
        with pytest.raises(StoreError, match="holds records already"):
            restored(backup, tmp_path / "new", url=url, replace=replace)
    assert not (tmp_path / "new").exists()
    restored(backup, tmp_path / "new")
    with pytest.raises(StoreError, match="holds records already"):
        copy_in(tmp_path / "new" / "records.db", tmp_path / "new", url)
    assert rows_on(cluster, url) == before


def test_a_backup_made_while_chairs_write_is_of_one_moment(
    home: Path, url: str, tmp_path: Path
) -> None:
    for name in ("a", "b"):
        (tmp_path / name).mkdir()
        (tmp_path / name / "store.key").write_bytes((home / "store.key").read_bytes())

    def make(number: int) -> Path:
        return of_server(home, url, tmp_path / f"b{number}")

    made = backups_while_written(
        lambda name: Store(tmp_path / name, url), lambda: Store(home, url), make, 3
    )
    for number, (backup, acknowledged) in enumerate(made):
        done = restored(backup, tmp_path / f"r{number}")
        assert done.notes == ()
        with opened(tmp_path / f"r{number}") as store:
            is_right(store)
            all_is_there(store, acknowledged)


def test_the_commands(
    home: Path, url: str, cluster: Cluster, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    secret = tmp_path / "passphrase"
    secret.write_text(f"{PASSPHRASE}\n")
    secret.chmod(0o600)
    monkeypatch.setenv("DICTATE_PASSPHRASE_FILE", str(secret))
    monkeypatch.setenv("DICTATE_USER", "A. Berg")
    monkeypatch.setattr(keys, "Cost", lambda: CHEAP)
    made = inside("backup", tmp_path / "b", "--store-url", url, home=home)
    assert made.code == 0, made.err
    back = ("restore", tmp_path / "b")
    assert_refused(inside(*back, "--store-url", url, home=tmp_path / "no"), "holds records already")
    done = inside(*back, home=tmp_path / "new")
    assert done.out.startswith("Restored 2 sessions"), done
    assert inside("audit", "--verify", home=tmp_path / "new").out.endswith("entries verified\n")
    told = inside("audit", home=tmp_path / "new").out
    assert "A. Berg  restored 2 sessions" in told
    there = ("--store-url", cluster.database())
    done = inside(*back, *there, home=tmp_path / "chair")
    assert done.out.startswith("Restored 2 sessions"), done
    verified = inside("audit", "--verify", *there, home=tmp_path / "chair")
    assert verified.out.endswith("entries verified\n"), verified
    assert "P-17" in inside("list", *there, home=tmp_path / "chair").out
    assert "A. Berg  backed up" in inside("audit", "--store-url", url, home=home).out


def test_a_server_out_of_reach_makes_no_backup(
    home: Path, url: str, cluster: Cluster, tmp_path: Path
) -> None:
    cluster.stop()
    with pytest.raises(StoreError, match="server does not answer"):
        of_server(home, url, tmp_path / "b")
    assert not (tmp_path / "b").exists()
