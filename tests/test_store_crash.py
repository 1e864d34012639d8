"""A process killed at every system call that writes, then opened again: nothing kept is lost."""

from __future__ import annotations

import os
import sqlite3
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from dictate.errors import StoreError
from dictate.store.drafts import Draft
from dictate.store.store import Store
from dictate.store.verifying import verify
from tests.exam_samples import Chair
from tests.killing import KILLED, KillAt
from tests.store_script import STEPS, expected, go_on, journal_of, run

EXPECTED = expected()
SHARED_MEMORY = Path("/dev/shm")
CALLS = ("fsync", "ftruncate", "unlink")


@pytest.fixture
def fast(tmp_path: Path) -> Iterator[Path]:
    """A folder in memory where there is one: a killed process, unlike a power cut, loses
    nothing that it wrote, so that waiting for the disk would prove nothing more."""
    if not SHARED_MEMORY.is_dir():
        yield tmp_path
        return
    with tempfile.TemporaryDirectory(dir=SHARED_MEMORY) as folder:
        yield Path(folder)


def killed_at(nth: int, home: Path) -> tuple[int, int]:
    """Plays the examination in a child killed at point `nth`: its status, the last seq kept."""
    out, into = os.pipe()
    child = os.fork()
    if child == 0:  # pragma: no cover
        say = os.write
        try:
            KillAt(nth, CALLS)
            with Store(home) as store:
                run(store, lambda seq: say(into, b"%d\n" % seq) and None)
        except BaseException as error:
            sys.__stderr__.write(repr(error))
            os._exit(1)
        os._exit(0)
    os.close(into)
    with open(out, "rb") as pipe:
        said = pipe.read().split()
    _, status = os.waitpid(child, 0)
    return os.waitstatus_to_exitcode(status), int(said[-1]) if said else 0


def points() -> Iterator[int]:
    yield from range(1, 10_000)


def test_killed_at_every_point(fast: Path) -> None:
    for point in points():
        home = fast / str(point)
        status, kept = killed_at(point, home)
        assert status in (0, KILLED)
        check_whole(home, kept, finished=status == 0)
        if status == 0:
            break
    # Each of the 19 acts writes and syncs the journal and commits to the database.
    assert point > 19 * 5
    print(f"kills tried and survived: {point - 1}")


def check_whole(home: Path, kept: int, *, finished: bool) -> None:
    with Store(home) as store:
        entries = store.list()
        if kept == 0 and not entries:
            return
        (entry,) = entries
        session = store.load("s1")
        assert session.events == EXPECTED[: len(session.events)]
        assert len(session.events) >= kept
        assert session.is_final == (entry.state == "final") == (session.events == EXPECTED)
        assert not finished or session.is_final
        if not session.is_final:
            session = go_on(Chair(store.resume("s1")), store)
        assert session.events == EXPECTED
        assert store.load("s1").events == EXPECTED
        assert not journal_of(home).exists()
    with sqlite3.connect(home / "records.db") as database:
        assert database.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        assert database.execute("PRAGMA foreign_key_check").fetchall() == []


def test_killed_and_killed_again_while_recovering(fast: Path) -> None:
    """The recovery itself may be interrupted anywhere."""
    _, kept = killed_at(100, fast)
    for point in points():
        child = os.fork()
        if child == 0:  # pragma: no cover
            KillAt(point, CALLS)
            with Store(fast) as store:
                store.list()
            os._exit(0)
        _, status = os.waitpid(child, 0)
        if os.waitstatus_to_exitcode(status) == 0:
            break
    check_whole(fast, kept, finished=False)


def test_a_draft_open_in_another_process_is_refused(tmp_path: Path) -> None:
    with Store(tmp_path) as store:
        chair = Chair()
        store.create(chair.session)
        out, into = os.pipe()
        child = os.fork()
        if child == 0:  # pragma: no cover
            try:
                Store(tmp_path).resume()
            except StoreError as error:
                os.write(into, str(error).encode())
            os._exit(0)
        os.close(into)
        os.waitpid(child, 0)
        with open(out, "rb") as pipe:
            assert b"open in another program" in pipe.read()
        store.append("s1", chair.plaque().events)
    assert Store(tmp_path).resume("s1").state == chair.session.state


@pytest.mark.parametrize("cut", [1, 20, 140, 500, 900])
def test_a_torn_last_step_is_cut_off_kept_beside_and_told(tmp_path: Path, cut: int) -> None:
    with Store(tmp_path) as store:
        chair = Chair()
        store.create(chair.session)
        store.append("s1", chair.plaque().events)
    (tmp_path / "records.db").unlink()
    journal = journal_of(tmp_path)
    first, heard, finding = journal.read_bytes().splitlines(keepends=True)
    torn = (heard + finding)[:-cut]
    journal.write_bytes(first + torn)
    with Store(tmp_path) as store:
        assert store.resume().events == chair.session.events[:1]
        assert "cut short" in store.notes[0]
        assert str(len(torn)) in store.notes[0]
    assert journal.read_bytes() == first
    assert journal.with_suffix(".torn").read_bytes() == torn


def database_files(home: Path) -> dict[Path, bytes]:
    return {path: path.read_bytes() for path in home.glob("records.db*")}


@pytest.mark.parametrize("step", [1, 5, len(STEPS)])
def test_power_is_cut_between_journal_and_database(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, step: int
) -> None:
    """The journal has the step, the database's write did not reach the disk: it is as before."""
    chair, home = Chair(), tmp_path / "home"
    store = Store(home)
    store.create(chair.session)
    for each in STEPS[: step - 1]:
        store.append("s1", each(chair).events)
    before = database_files(home)
    monkeypatch.setattr(Draft, "remove", Draft.close)  # it goes once the database has it
    store.append("s1", STEPS[step - 1](chair).events)
    store.close()
    monkeypatch.undo()
    for path in home.glob("records.db*"):
        path.unlink()
    for path, data in before.items():
        path.write_bytes(data)
    with Store(home) as again:
        assert [each.state for each in again.list()] == ["final" if step == len(STEPS) else "draft"]
        assert again.load("s1").events == chair.session.events
        assert again.database().records("s1")[-1].event == chair.session.events[-1]
        assert again.notes == ()
        assert verify(again.untouched(), again.folder).faults == []
    with sqlite3.connect(home / "records.db") as database:
        assert database.execute("PRAGMA integrity_check").fetchall() == [("ok",)]


def test_a_power_cut_amid_a_note_leaves_it_waiting_or_gone(tmp_path: Path) -> None:
    """What was put in place but is empty would stop the trail for ever: it is synced before."""
    with Store(tmp_path) as store:
        store.create(Chair().session)
    synced: list[str] = []
    real, place = os.fsync, os.replace
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(os, "fsync", lambda handle: synced.append("sync") or real(handle))
        patch.setattr(os, "replace", lambda *paths: synced.append("place") or place(*paths))
        with Store(tmp_path) as store:
            store.note("viewed", session="s1")
    assert synced[: synced.index("place") + 2][-3:] == ["sync", "place", "sync"]
