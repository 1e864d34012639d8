"""Backups: made while others write, refused when altered, restored as they were."""

from __future__ import annotations

import json
import os
import shutil
import sqlite3
import stat
from contextlib import closing
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from dictate.errors import StoreError
from dictate.exam.session import Session
from dictate.store import backup_file, keys, sealed_stream
from dictate.store.backup import back_up
from dictate.store.key_file import summed
from dictate.store.keys import WrongPassphraseError
from dictate.store.patients import PatientBook
from dictate.store.primitives import BrokenSealError
from dictate.store.restoring import Restored, restore
from dictate.store.store import Store
from tests.backed_up_while_written import all_is_there, backups_while_written
from tests.exam_samples import PROTOCOL, START, Chair
from tests.killing import KILLED, killed_at
from tests.locked_store import CHEAP, PASSPHRASE
from tests.old_stores import OPEN, STATES, old_home
from tests.store_script import in_child, run
from tests.test_store_failures import limit_files_to


@pytest.fixture
def home(tmp_path: Path) -> Path:
    """A store with a signed session and a draft."""
    with Store(tmp_path / "home") as store:
        run(store)
        chair = start("s2")
        store.create(chair.session)
        store.append("s2", chair.plaque().events)
    return tmp_path / "home"


def start(name: str) -> Chair:
    return Chair(Session.start(name, PROTOCOL, START, patient="P-17"))


def backed_up(home: Path, target: Path) -> Path:
    sealer = keys.bare(home)
    back_up(home, sealer, keys.wrapped_file(sealer, PASSPHRASE, cost=CHEAP), target)
    return target


def restored(
    backup: Path, home: Path, *, replace: bool = False, url: str | None = None
) -> Restored:
    key = backup_file.head_of(backup).key
    assert key
    sealer = backup_file.unlocked(backup, PASSPHRASE)
    return restore(backup, sealer, home, key, replace=replace, url=url)


def opened(home: Path) -> Store:
    return Store(home, sealer=keys.unlock(home, PASSPHRASE))


def events_in(store: Store) -> dict[str, object]:
    return {each.id: store.load(each.id).events for each in store.list()}


def rows_in(home: Path) -> list[str]:
    with closing(sqlite3.connect(home / "records.db")) as database:
        return list(database.iterdump())


def test_what_is_restored_equals_what_was_there(home: Path, tmp_path: Path) -> None:
    backup = backed_up(home, tmp_path / "b")
    done = restored(backup, tmp_path / "new")
    assert (done.sessions, done.aside, done.notes) == (2, None, ())
    assert rows_in(tmp_path / "new") == rows_in(home)
    journal = Path("drafts", "s2.jsonl")
    assert (tmp_path / "new" / journal).read_bytes() == (home / journal).read_bytes()
    with Store(home) as one, opened(tmp_path / "new") as other:
        assert events_in(one) == events_in(other)
        assert PatientBook(one).all() == PatientBook(other).all()
        assert other.notes == ()
        assert other.resume().id == "s2"
    for path in (tmp_path / "new").rglob("*"):
        assert path.stat().st_mode & 0o077 == 0, path


def test_a_backup_is_sealed_and_for_its_owner_alone(home: Path, tmp_path: Path) -> None:
    backup = backed_up(home, tmp_path / "b")
    data = backup.read_bytes()
    assert stat.S_IMODE(backup.stat().st_mode) == 0o600
    for words in (b"SQLite", b"plaque", b"session_started", b"jsonl", PASSPHRASE.encode()):
        assert words not in data
    assert keys.bare(home).data_key not in data
    assert sorted(path.name for path in home.iterdir()) == [
        "drafts",
        "records.db",
        "store.key",
        "trail.head",
    ]
    with pytest.raises(StoreError, match="exists already"):
        backed_up(home, backup)
    assert backup.read_bytes() == data


def test_another_passphrase_does_not_open_it(home: Path, tmp_path: Path) -> None:
    backup = backed_up(home, tmp_path / "b")
    with pytest.raises(WrongPassphraseError):
        backup_file.unlocked(backup, "seven quay lantern")
    (tmp_path / "no").write_text("words")
    with pytest.raises(StoreError, match="no backup of this program"):
        backup_file.head_of(tmp_path / "no")


def test_an_altered_or_torn_backup_is_refused(home: Path, tmp_path: Path) -> None:
    backup = backed_up(home, tmp_path / "b")
    whole = backup.read_bytes()
    head = len(backup_file.head_of(backup).data)
    places = [*range(0, head, 23), *range(head, len(whole), len(whole) // 25), len(whole) - 1]
    for place in places:
        backup.write_bytes(whole[:place] + bytes([whole[place] ^ 1]) + whole[place + 1 :])
        refused(backup, tmp_path / "new")
    for size in (0, 5, head, head + 1, len(whole) // 2, len(whole) - 1):
        backup.write_bytes(whole[:size])
        refused(backup, tmp_path / "new")
    backup.write_bytes(whole + b"\0")
    refused(backup, tmp_path / "new")
    assert sorted(path.name for path in tmp_path.iterdir()) == ["b", "home"]


def refused(backup: Path, home: Path) -> None:
    with pytest.raises(StoreError) as caught:
        restored(backup, home)
    assert "\n" not in str(caught.value)
    assert not home.exists()


@given(
    rest=st.one_of(
        st.binary(max_size=200),
        st.text(max_size=60).map(summed),
        st.dictionaries(
            st.sampled_from(["made", "key_id", "key", "salt"]),
            st.one_of(st.none(), st.text(max_size=20), st.integers()),
        ).map(lambda told: summed(json.dumps(told))),
    ),
    signed=st.booleans(),
)
@settings(
    max_examples=100, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
def test_a_file_that_somebody_made_up_is_refused(tmp_path: Path, rest: bytes, signed: bool) -> None:
    path = tmp_path / "made up"
    path.write_bytes(backup_file.SIGN * signed + rest)
    with pytest.raises(StoreError):
        backup_file.head_of(path)


def test_pieces_cannot_change_places(tmp_path: Path) -> None:
    """A long file is sealed in pieces; each belongs in its place."""
    head, key, piece = b"head", bytes(32), sealed_stream.PIECE + 16
    path = tmp_path / "long"
    with open(path, "wb") as file:
        writer = sealed_stream.SealingWriter(file, key, head)
        writer.write(os.urandom(3 * sealed_stream.PIECE))
        writer.finish()
    data = path.read_bytes()
    assert len(data) == 3 * piece
    one, two, three = data[:piece], data[piece : 2 * piece], data[2 * piece :]
    for wrong in (two + one + three, one + three, one + two, one + two + two + three):
        path.write_bytes(wrong)
        with open(path, "rb") as file, pytest.raises(BrokenSealError):
            sealed_stream.OpeningReader(file, key, head).drain()
    path.write_bytes(data)
    with open(path, "rb") as file:
        sealed_stream.OpeningReader(file, key, head).drain()


def test_a_store_that_is_there_is_kept_or_set_aside(home: Path, tmp_path: Path) -> None:
    backup = backed_up(home, tmp_path / "b")
    with Store(home) as store:
        store.create(start("s3").session)
    with pytest.raises(StoreError, match="is not empty"):
        restored(backup, home)
    with Store(home) as store:
        held = store.resume("s3")
        with pytest.raises(StoreError, match="s3 is open in another program"):
            restored(backup, home, replace=True)
        assert held.id == "s3"
    with Store(home) as desk:  # without any draft
        assert len(desk.list()) == 3
        with pytest.raises(StoreError, match="open in another program"):
            restored(backup, home, replace=True)
        assert len(desk.list()) == 3
    before = rows_in(home)
    done = restored(backup, home, replace=True)
    assert done.aside
    assert rows_in(done.aside) == before
    with Store(done.aside) as old, opened(home) as new:
        assert set(events_in(old)) == {"s1", "s2", "s3"}
        assert set(events_in(new)) == {"s1", "s2"}


def test_a_backup_made_while_others_write_is_whole(tmp_path: Path) -> None:
    home = tmp_path / "home"

    def make(number: int) -> Path:
        return backed_up(home, tmp_path / f"b{number}")

    made = backups_while_written(lambda _: Store(home), lambda: Store(home), make, 5)
    for number, (backup, acknowledged) in enumerate(made):
        done = restored(backup, tmp_path / f"r{number}")
        assert done.notes == ()
        with opened(tmp_path / f"r{number}") as store:
            all_is_there(store, acknowledged)
            assert all("taken from the database" in each for each in store.notes)


def test_killed_while_restoring_the_old_or_the_new_is_there(home: Path, tmp_path: Path) -> None:
    backup = backed_up(home, tmp_path / "b")
    with Store(home) as store:
        store.discard("s2")
    original = tmp_path / "original"
    shutil.copytree(home, original)
    seen = []
    for point in (*range(1, 40), 1000):
        shutil.rmtree(home)
        shutil.copytree(original, home)
        status = killed_at(point, lambda: restored(backup, home, replace=True))
        assert status in (0, KILLED)
        state = keys.state(home)
        with opened(home) if state == "wrapped" else Store(home) as store:
            seen.append(set(events_in(store)))
        assert seen[-1] == ({"s1", "s2"} if state == "wrapped" else {"s1"})
        for left in tmp_path.glob("home-before*"):
            shutil.rmtree(left)
        for left in tmp_path.glob(".home*"):
            shutil.rmtree(left)
        if status == 0:
            break
    assert {"s1"} in seen
    assert seen[-1] == {"s1", "s2"}


@pytest.mark.parametrize("version", OPEN)
def test_the_copy_from_before_sealing_can_be_restored(tmp_path: Path, version: int) -> None:
    home = old_home(tmp_path / "home", version)
    with Store(home) as store:
        before = events_in(store)
    (copy,) = home.glob("before_migration/*.backup")
    sealer = keys.bare(home)
    keys.wrap(home, sealer, PASSPHRASE, CHEAP)
    done = restore(copy, sealer, tmp_path / "again", keys.file_of(home))
    assert done.notes == ()
    with opened(tmp_path / "again") as store:
        assert events_in(store) == before
        assert {each.id: each.state for each in store.list()} == STATES


def test_what_was_damaged_before_is_told_and_the_rest_comes_back(
    home: Path, tmp_path: Path
) -> None:
    with closing(sqlite3.connect(home / "records.db")) as database:
        database.execute("DROP TRIGGER events_never_change")
        database.execute("UPDATE events SET type = 'undone' WHERE session_id = 's1' AND seq = 3")
        database.commit()
    done = restored(backed_up(home, tmp_path / "b"), tmp_path / "new")
    assert done.sessions == 2
    (line,) = done.notes
    assert "Event 3 of session s1" in line


def test_a_full_disk_leaves_no_half_backup(home: Path, tmp_path: Path) -> None:
    def attempt() -> None:
        limit_files_to(20_000)
        with pytest.raises(StoreError, match="Cannot"):
            backed_up(home, tmp_path / "b")

    in_child(attempt)
    assert not (tmp_path / "b").exists()
    assert not [path for path in home.rglob("*") if ".part" in path.name]
