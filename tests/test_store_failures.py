"""A full disk, a closed folder, a held database: a clear line, and work goes on in memory."""

from __future__ import annotations

import errno
import os
import re
import resource
import signal
import sqlite3
from pathlib import Path

import pytest

from dictate.errors import StoreError
from dictate.store import connection, database, journal, outbox, trail
from dictate.store.store import Store
from tests.exam_samples import Chair
from tests.store_script import in_child, journal_of

NOBODY = 65534


def limit_files_to(size: int) -> None:
    """No file may grow beyond that: a write across it is cut short, then refused."""
    signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    _, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (size, hard))


def no_limit() -> None:
    _, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (hard, hard))


def test_full_disk(tmp_path: Path) -> None:
    def dictate() -> None:
        chair, keeper = Chair(), Store(tmp_path)
        keeper.create(chair.session)
        limit_files_to(3_000)
        refused: list[str] = []
        for _ in range(6):
            outcome = chair.plaque()
            try:
                keeper.append("s1", outcome.events)
            except StoreError as error:
                refused.append(str(error))
        assert len(refused) > 1
        assert all(line.startswith("Cannot keep the draft: ") for line in refused)
        assert not any("\n" in line for line in refused)
        assert len(chair.session.findings) == 6
        assert len(keeper.pending("s1")) == 2 * len(refused)
        journal = journal_of(tmp_path).read_bytes()
        assert journal.endswith(b"\n")  # what did not fit whole was taken back
        no_limit()
        keeper.append("s1", chair.plaque().events)
        assert keeper.pending("s1") == ()
        keeper.close()
        with Store(tmp_path) as again:
            assert again.resume("s1").events == chair.session.events
            assert again.notes == ()

    in_child(dictate)


def test_writes_that_take_a_part_only_leave_whole_files(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """write(2) may take fewer bytes than it was given, as on a disk that is nearly full."""
    real = os.write
    monkeypatch.setattr(os, "write", lambda handle, data: real(handle, data[:7]))
    with Store(tmp_path) as keeper:
        chair = Chair()
        keeper.create(chair.session)
        keeper.append("s1", chair.plaque().events)
        keeper.note("viewed", session="s1")
        assert keeper.notes == ()
    with Store(tmp_path) as again:
        assert again.resume().events == chair.session.events


def test_a_draft_that_could_not_be_begun_is_begun_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What a failed first attempt made does not stand in the way of the second."""
    chair, keeper = Chair(), Store(tmp_path)
    keeper.unlocked()

    with monkeypatch.context() as patch:
        patch.setattr(journal, "sync_folder", _full)
        with pytest.raises(StoreError, match="the disk is full"):
            keeper.create(chair.session)
    keeper.append("s1", chair.plaque().events)
    assert keeper.pending("s1") == ()
    keeper.close()


def test_what_was_looked_at_on_a_full_disk_is_noted_later(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with Store(tmp_path) as keeper:
        keeper.create(Chair().session)
        with monkeypatch.context() as patch:
            patch.setattr(outbox, "write_private", _full)
            keeper.note("viewed", session="s1")
            assert "Cannot keep the audit trail: the disk is full" in keeper.notes[0]
    with Store(tmp_path) as again:
        database_ = again.database()
        with database_.transaction("read") as transaction:
            kept = list(trail.entries(transaction, database_.sealer))
        assert [each.action for each in kept] == ["anchored", "viewed"]


def _full(*_: object) -> None:
    raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))


def test_a_folder_that_may_not_be_written(tmp_path: Path) -> None:
    home = tmp_path / "home"
    for folder in (*tmp_path.parents, tmp_path):
        if os.geteuid() == 0 and folder.stat().st_mode & 0o001 == 0:
            folder.chmod(0o711)
    home.mkdir()
    home.chmod(0o755)

    def dictate() -> None:
        chair, keeper = Chair(), Store(home)
        with pytest.raises(StoreError, match="may not be written"):
            keeper.create(chair.session)
        with pytest.raises(StoreError, match="may not be written"):
            keeper.append("s1", chair.plaque().events)
        assert keeper.pending("s1") == chair.session.events
        with pytest.raises(StoreError, match="Cannot"):
            keeper.list()

    def as_nobody() -> None:
        if os.geteuid() == 0:
            os.setgid(NOBODY)
            os.setuid(NOBODY)
        else:
            home.chmod(0o500)
        dictate()

    in_child(as_nobody)


def test_a_file_where_the_folder_should_be(tmp_path: Path) -> None:
    (tmp_path / "home").write_text("")
    chair, keeper = Chair(), Store(tmp_path / "home")
    with pytest.raises(StoreError, match="a file stands where the folder should be"):
        keeper.create(chair.session)
    (tmp_path / "home").unlink()
    keeper.append("s1", chair.plaque().events)
    assert keeper.pending("s1") == ()
    keeper.close()
    assert Store(tmp_path / "home").resume().events == chair.session.events


def test_a_held_database_does_not_hold_up_dictation(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(connection, "RETRY_S", 0.0)
    chair, keeper = Chair(), Store(tmp_path)
    keeper.create(chair.session)
    holder = sqlite3.connect(tmp_path / "records.db", isolation_level=None)
    holder.execute("BEGIN IMMEDIATE")
    keeper.append("s1", chair.plaque().events)
    assert keeper.behind
    assert "another program holds the database" in keeper.behind
    assert len(journal_of(tmp_path).read_bytes().splitlines()) == 3
    holder.execute("ROLLBACK")
    keeper.append("s1", chair.plaque().events)
    assert keeper.behind is None
    assert holder.execute("SELECT count(*) FROM events").fetchone() == (5,)
    holder.close()
    keeper.close()


def test_a_database_held_at_the_signature(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(database, "PATIENCE_MS", 50)
    monkeypatch.setattr(connection, "RETRY_S", 0.0)
    chair, keeper = Chair(), Store(tmp_path)
    keeper.create(chair.session)
    chair.signed()
    holder = sqlite3.connect(tmp_path / "records.db", isolation_level=None)
    holder.execute("BEGIN IMMEDIATE")
    for _ in range(2):
        with pytest.raises(StoreError, match="holds the database"):
            keeper.append("s1", chair.session.events)
    assert keeper.pending("s1") == ()  # the signature is in the journal
    holder.close()
    keeper.append("s1", chair.session.events)
    assert keeper.load("s1").is_final
    assert not journal_of(tmp_path).exists()
    keeper.close()


def test_a_signature_in_the_journal_is_moved_on_the_next_start(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(database, "PATIENCE_MS", 50)
    chair, keeper = Chair(), Store(tmp_path)
    keeper.create(chair.session)
    chair.signed()
    holder = sqlite3.connect(tmp_path / "records.db", isolation_level=None)
    holder.execute("BEGIN IMMEDIATE")
    with pytest.raises(StoreError):
        keeper.append("s1", chair.session.events)
    keeper.close()
    with Store(tmp_path) as again, pytest.raises(StoreError, match="holds the database"):
        again.resume("s1")
    holder.close()
    with Store(tmp_path) as again:
        assert [each.state for each in again.list()] == ["final"]
        with pytest.raises(StoreError, match="is final; amend"):
            again.resume("s1")


@pytest.mark.parametrize("rubbish", [b"not a database at all" * 400, b"SQLite format 3\0" * 400])
def test_a_damaged_database_does_not_stop_a_draft(tmp_path: Path, rubbish: bytes) -> None:
    (tmp_path / "records.db").write_bytes(rubbish)
    chair, keeper = Chair(), Store(tmp_path)
    keeper.create(chair.session)
    keeper.append("s1", chair.plaque().events)
    assert keeper.behind
    keeper.close()
    with Store(tmp_path) as again:
        assert [each.id for each in again.list()] == ["s1"]
        assert re.search("no database|damaged", again.notes[0])
    assert (tmp_path / "records.db").read_bytes() == rubbish
    with Store(tmp_path) as again:
        assert again.resume().events == chair.session.events


def test_a_damaged_database_without_drafts_is_told(tmp_path: Path) -> None:
    (tmp_path / "records.db").write_bytes(b"not a database at all" * 400)
    with Store(tmp_path) as keeper, pytest.raises(StoreError, match="no database"):
        keeper.list()


def test_the_line_never_holds_what_a_record_says(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with Store(tmp_path) as keeper:
        keeper.list()
    with sqlite3.connect(tmp_path / "records.db") as database_:
        database_.execute("DROP TABLE events")
    chair, keeper = Chair(), Store(tmp_path)
    monkeypatch.setattr("dictate.store.tables.Base.metadata.create_all", lambda _: None)
    keeper.create(chair.session)
    keeper.append("s1", chair.hear("words of a patient called Quillfeather").events)
    assert keeper.behind
    assert "Quillfeather" not in keeper.behind
    keeper.close()


@pytest.mark.parametrize(
    "url",
    [
        "nonsense",
        "mysterydb://host/name",
        "postgresql+nodriver://h/n",
        "postgresql://h:54x2/n",
        "postgresql://h/n?port=x",
    ],
)
def test_a_url_that_cannot_be_used(tmp_path: Path, url: str) -> None:
    with pytest.raises(StoreError, match="URL cannot be used"):
        Store(tmp_path, url).list()
