"""The database itself, looked at with SQLite's own library and not through ours."""

from __future__ import annotations

import json
import sqlite3
import threading
from collections.abc import Callable
from pathlib import Path

import pytest

from dictate.errors import StoreError
from dictate.exam.commands import Amend, ChangeField
from dictate.exam.patients import Patient
from dictate.exam.session import Session
from dictate.store.database import Database
from dictate.store.erasure import erase, erasures
from dictate.store.patients import PatientBook
from dictate.store.store import Store
from tests.exam_samples import PROTOCOL, START, Chair
from tests.seal_samples import SEALER, data_key, marked_apart, opened_apart, seal
from tests.store_script import run


@pytest.fixture
def final(tmp_path: Path) -> Path:
    """A home with a final session that has been amended once, and a draft."""
    with Store(tmp_path) as store:
        run(store)
        change = ChangeField(target="f1", field="side", value="right")
        command = Amend(examiner="C. Dahl", why="mistaken", changes=(change,))
        store.amend("s1", command, actor="C. Dahl", at=START)
        store.create(Session.start("s2", PROTOCOL, START))
    return tmp_path


def connect(home: Path) -> sqlite3.Connection:
    return sqlite3.connect(home / "records.db")


TAMPERING = (
    "UPDATE events SET event = replace(event, substr(event, 30, 1), '-')",
    "UPDATE events SET event = (SELECT o.event FROM events AS o WHERE o.seq = 5) WHERE seq = 4",
    "UPDATE events SET actor = 'somebody'",
    "UPDATE events SET actor = (SELECT o.actor FROM events AS o WHERE o.seq = 1) WHERE seq = 4",
    "DELETE FROM events WHERE session_id = 's1' AND seq = 3",
    "DELETE FROM sessions WHERE id = 's1'",
    "UPDATE sessions SET state = 'draft' WHERE id = 's1'",
    "UPDATE sessions SET examiner = 'somebody' WHERE id = 's1'",
    "UPDATE sessions SET version = 1 WHERE id = 's1'",
    "UPDATE sessions SET patient = 'P-9' WHERE id = 's1'",
    "INSERT INTO events (session_id, seq, at, actor, type, event, prev_hash, hash)"
    " SELECT session_id, seq + 100, at, actor, type, event, prev_hash, hash FROM events"
    " WHERE session_id = 's1' AND type <> 'amended'",
)


@pytest.mark.parametrize("statement", TAMPERING)
def test_the_database_refuses_to_change_a_final_record(final: Path, statement: str) -> None:
    before = list(connect(final).iterdump())
    with connect(final) as database, pytest.raises(sqlite3.IntegrityError):
        database.execute(statement)
    assert list(connect(final).iterdump()) == before


@pytest.mark.parametrize(
    "statement",
    [
        *TAMPERING[:-1],
        "UPDATE events SET seq = seq + 50 WHERE seq > 5 AND session_id = 's1'",
        "DELETE FROM events WHERE session_id = 's1' AND type = 'amended'",
        "DELETE FROM events WHERE session_id = 's1' AND type IN ('signed', 'amended')",
        "UPDATE events SET prev_hash = hash WHERE seq = 4",
        "UPDATE events SET at = '2031-01-01T00:00:00+00:00' WHERE seq = 4",
        "UPDATE events SET type = 'undone' WHERE seq = 4",
    ],
)
def test_what_was_changed_in_spite_of_that_is_found_on_reading(final: Path, statement: str) -> None:
    with connect(final) as database:
        names = database.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'")
        for (name,) in names.fetchall():
            database.execute(f"DROP TRIGGER {name}")
        database.execute(statement)
    with Store(final) as store, pytest.raises(StoreError) as caught:
        store.load("s1")
    assert "s1" in str(caught.value)
    assert "\n" not in str(caught.value)


def altered(home: Path, table: str, column: str) -> None:
    """One letter of every cell of the column."""
    with connect(home) as database:
        names = database.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'")
        for (name,) in names.fetchall():
            database.execute(f"DROP TRIGGER {name}")
        database.execute(
            f"UPDATE {table} SET {column} = substr({column}, 1, 9) ||"
            f" CASE substr({column}, 10, 1) WHEN 'A' THEN 'B' ELSE 'A' END || substr({column}, 11)"
        )
        assert database.execute("SELECT changes()").fetchone() > (0,)


@pytest.mark.parametrize(
    ("table", "column", "act"),
    [
        ("sessions", "examiner", Store.list),
        ("sessions", "patient", Store.list),
        ("events", "event", lambda store: store.load("s1")),
        ("events", "actor", lambda store: store.load("s1")),
        ("events", "hash", lambda store: store.load("s1")),
        ("events", "prev_hash", lambda store: store.load("s1")),
        ("patients", "id", lambda store: PatientBook(store).all()),
        ("patients", "about", lambda store: PatientBook(store).all()),
        ("store_key", "key_id", Store.list),
        ("erasures", "erasure", erasures),
        ("erasures", "hash", erasures),
    ],
)
def test_an_altered_cell_is_told_and_nothing_changed(
    tmp_path: Path, table: str, column: str, act: Callable[[Store], object]
) -> None:
    with Store(tmp_path) as store:
        chair = Chair(Session.start("s1", PROTOCOL, START, patient="P-17"))
        store.create(chair.session)
        chair.signed()
        store.append("s1", chair.session.events)
        PatientBook(store).register(Patient.of("P-17", "Ada Rowan"))
        erase(store, "P-18", by="A. Berg", at=START)
        act(store)
    altered(tmp_path, table, column)
    before = list(connect(tmp_path).iterdump())
    with Store(tmp_path) as store, pytest.raises(StoreError, match=r"altered|another key"):
        act(store)
    assert list(connect(tmp_path).iterdump()) == before


def test_a_patients_details_cannot_be_given_to_another(tmp_path: Path) -> None:
    with Store(tmp_path) as store:
        PatientBook(store).register(Patient.of("P-17", "Ada Rowan"))
        PatientBook(store).register(Patient.of("P-18", "Bo Fern"))
    with connect(tmp_path) as database:
        database.execute("UPDATE patients SET about = (SELECT max(about) FROM patients)")
    with Store(tmp_path) as store, pytest.raises(StoreError, match="altered"):
        PatientBook(store).all()


def test_two_events_exchanged_are_found(final: Path) -> None:
    with connect(final) as database:
        database.execute("DROP TRIGGER events_never_change")
        for old, new in ((5, 1000), (6, 5), (1000, 6)):
            database.execute("UPDATE events SET seq = ? WHERE seq = ?", (new, old))
    with Store(final) as store, pytest.raises(StoreError, match="Event 5 of session s1"):
        store.load("s1")


def test_the_chain_holds_when_computed_apart(final: Path) -> None:
    # Outside reference: HMAC and JSON of the standard library, on rows read by SQLite and opened
    # step by step.
    key = data_key(final)
    rows = connect(final).execute(
        "SELECT seq, at, actor, type, event, prev_hash, hash FROM events"
        " WHERE session_id = 's1' ORDER BY seq"
    )
    before, count = "0" * 64, 0
    for seq, at, actor, kind, sealed, prev, hash_ in rows:
        text = opened_apart(key, sealed, "events.event")
        event = json.loads(text)
        assert prev == before
        assert marked_apart(key, f"{prev} {text}") == hash_
        assert opened_apart(key, actor, "events.actor") == event["actor"]
        assert event["seq"] == seq
        assert (event["body"]["type"] == "amended") == (kind == "amended")
        assert event["at"].replace("Z", "+00:00") == at
        before, count = hash_, count + 1
    assert count > 20


def test_it_is_set_up_to_survive_a_power_cut(final: Path) -> None:
    # SQLite: in WAL mode, synchronous=FULL (2) makes a commit durable (sqlite.org/pragma.html).
    with Store(final) as store:
        engine = store.untouched()._engine
        with engine.connect() as connection:
            settings = {
                name: connection.exec_driver_sql(f"PRAGMA {name}").scalar()
                for name in ("journal_mode", "synchronous", "foreign_keys")
            }
    assert settings == {"journal_mode": "wal", "synchronous": 2, "foreign_keys": 1}
    assert connect(final).execute("PRAGMA integrity_check").fetchone() == ("ok",)


def test_a_database_of_a_later_version_is_left_alone(final: Path) -> None:
    with connect(final) as database:
        database.execute("INSERT INTO schema_version (version) VALUES (99)")
    with Store(final) as store, pytest.raises(StoreError, match=r"later version \(99\)"):
        store.load("s1")


def test_many_threads_with_a_session_each(tmp_path: Path) -> None:
    with Store(tmp_path) as store:
        store.list()
    failures: list[BaseException] = []

    def dictate(name: str) -> None:
        try:
            with Store(tmp_path) as store:
                chair = Chair(Session.start(name, PROTOCOL, START))
                store.create(chair.session)
                for _ in range(5):
                    store.append(name, chair.plaque().events)
                chair.signed()
                store.append(name, chair.session.events)
        except BaseException as error:
            failures.append(error)

    threads = [threading.Thread(target=dictate, args=(f"t{n}",)) for n in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert failures == []
    with Store(tmp_path) as store:
        assert {each.id: each.state for each in store.list()} == dict.fromkeys(
            [f"t{n}" for n in range(6)], "final"
        )
        assert all(len(store.load(f"t{n}").findings) == 5 for n in range(6))


def test_a_save_does_not_write_over_what_another_wrote(tmp_path: Path) -> None:
    database = Database.open(tmp_path, SEALER)
    mine, theirs = Chair(), Chair()
    mine.plaque()
    theirs.plaque(side="right")
    database.save("s1", seal(theirs.session.events))
    with pytest.raises(StoreError, match="changed by another program"):
        database.save("s1", seal(mine.session.events))
    assert [each.event for each in database.records("s1")] == list(theirs.session.events)
    database.save("s1", seal(theirs.session.events[:2]))
    assert len(database.records("s1")) == 3
    database.close()
