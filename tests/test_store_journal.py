from __future__ import annotations

import errno
import os
import shutil
import subprocess
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from dictate.errors import StoreError
from dictate.store import journal as journals
from dictate.store.chain import FIRST, digest, seal
from dictate.store.journal import DraftInUseError, Journal
from tests.exam_samples import Chair


def records(findings: int = 3) -> Chair:
    chair = Chair()
    for _ in range(findings):
        chair.plaque()
    return chair


@pytest.fixture
def kept(tmp_path: Path) -> Path:
    """A journal with seven events in four acts, closed."""
    journal = Journal.create(tmp_path / "drafts" / "s1.jsonl")
    journal.append(seal(records().session.events))
    journal.close()
    return journal.path


def test_what_was_appended_is_read_back(kept: Path) -> None:
    events = records().session.events
    reading = journals.read(kept)
    assert tuple(each.event for each in reading.records) == events
    assert reading.torn == b""
    journal, torn = Journal.open(kept)
    more = records(4).session.events[7:]
    journal.append(seal(more, journal.head))
    journal.close()
    assert torn == b""
    assert tuple(each.event for each in journals.read(kept).records) == (*events, *more)


def test_a_line_is_the_hash_that_coreutils_computes(kept: Path) -> None:
    # Outside reference: sha256sum of GNU coreutils over "<hash before> <event>".
    tool = shutil.which("sha256sum")
    assert tool
    before = "0" * 64
    for line in kept.read_bytes().splitlines():
        hash_, rest = line.split(b" ", 1)
        said = subprocess.run([tool], input=rest, capture_output=True, check=True).stdout
        assert said.split()[0] == hash_
        assert rest.startswith(before.encode())
        before = hash_.decode()


def test_only_the_owner_can_read_it(kept: Path) -> None:
    assert kept.stat().st_mode & 0o777 == 0o600
    assert kept.parent.stat().st_mode & 0o777 == 0o700


def test_an_open_folder_is_closed(tmp_path: Path) -> None:
    (tmp_path / "drafts").mkdir(mode=0o755)
    Journal.create(tmp_path / "drafts" / "s1.jsonl").close()
    assert (tmp_path / "drafts").stat().st_mode & 0o777 == 0o700


@pytest.mark.parametrize("line", [1, 2, 5])
def test_a_damaged_line_in_the_middle_is_named_and_the_file_kept(kept: Path, line: int) -> None:
    lines = kept.read_bytes().splitlines(keepends=True)
    lines[line - 1] = lines[line - 1].replace(b"a", b"b", 1)
    kept.write_bytes(b"".join(lines))
    damaged = kept.read_bytes()
    with pytest.raises(StoreError, match=f"Line {line} of the draft s1 is damaged"):
        Journal.open(kept)
    assert kept.read_bytes() == damaged
    assert list(kept.parent.iterdir()) == [kept]


@pytest.mark.parametrize(
    "order",
    [[0, 1, 2, 4, 3, 5, 6], [0, 1, 2, 4, 5, 6], [0, 1, 1, 2, 3, 4, 5, 6], [1, 2, 3, 4, 5, 6]],
)
def test_missing_doubled_and_moved_lines_are_found(kept: Path, order: list[int]) -> None:
    lines = kept.read_bytes().splitlines(keepends=True)
    kept.write_bytes(b"".join(lines[index] for index in order))
    with pytest.raises(StoreError, match="Line"):
        journals.read(kept)


def test_an_event_of_a_later_program_is_refused_not_lost(kept: Path) -> None:
    event = seal(records().session.events)[0]
    text = event.text.replace('"session_started"', '"session_dreamt"')
    kept.write_text(f"{digest(FIRST, text)} {FIRST} {text}\n")
    with pytest.raises(StoreError, match="does not know; update dictate"):
        Journal.open(kept)


@given(cut=st.integers(1, 4000))
@settings(
    max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
def test_cut_anywhere_it_gives_whole_acts(kept: Path, cut: int) -> None:
    events = records().session.events
    data = kept.read_bytes()
    short = kept.with_name("short.jsonl")
    short.write_bytes(data[: max(0, len(data) - cut)])
    found = tuple(each.event for each in journals.read(short).records)
    assert found == events[: len(found)]
    assert len(found) in (0, 1, 3, 5, 7)


@given(st.binary(max_size=300))
@settings(
    max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
def test_rubbish_at_the_end_is_set_aside(kept: Path, rubbish: bytes) -> None:
    other = kept.with_name("other.jsonl")
    other.write_bytes(kept.read_bytes() + rubbish)
    reading = journals.read(other)
    assert len(reading.records) == 7
    assert reading.torn == rubbish


def test_it_is_held_by_one_program_at_a_time(kept: Path) -> None:
    journal, _ = Journal.open(kept)
    with pytest.raises(DraftInUseError, match="open in another program"):
        Journal.open(kept)
    journal.close()
    journal.close()
    Journal.open(kept)[0].close()


def test_missing_and_doubled_drafts_are_told(kept: Path) -> None:
    with pytest.raises(StoreError, match="no draft s2"):
        Journal.open(kept.with_name("s2.jsonl"))
    with pytest.raises(StoreError, match="a draft s1 already"):
        Journal.create(kept)


def test_it_is_synced_after_each_append(kept: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    calls: list[str] = []
    write, fsync = os.write, os.fsync

    def writing(descriptor: int, data: bytes) -> int:
        calls.append("write")
        return write(descriptor, data[:100])  # as a full pipe or disk would: in pieces

    def syncing(descriptor: int) -> None:
        calls.append("fsync")
        fsync(descriptor)

    journal, _ = Journal.open(kept)
    monkeypatch.setattr(os, "write", writing)
    monkeypatch.setattr(os, "fsync", syncing)
    journal.append(seal(records(4).session.events[7:], journal.head))
    assert calls[-1] == "fsync"
    assert set(calls[:-1]) == {"write"}
    journal.close()
    assert len(journals.read(kept).records) == 9


def test_half_a_write_that_could_not_be_taken_back_is_taken_back_later(
    kept: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write = os.write

    def full(descriptor: int, data: bytes) -> int:
        if len(data) < 200:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        return write(descriptor, data[:200])

    journal, _ = Journal.open(kept)
    more = seal(records(4).session.events[7:], journal.head)
    with monkeypatch.context() as patch:
        patch.setattr(os, "write", full)
        patch.setattr(journal, "_take_back", lambda: None)
        with pytest.raises(StoreError, match="disk is full"):
            journal.append(more)
    assert journals.read(kept).torn
    journal.append(more)
    journal.close()
    assert len(journals.read(kept).records) == 9
    assert journals.read(kept).torn == b""


@pytest.mark.parametrize("locked", [True, False])
def test_a_new_journal_that_another_program_tidies_away_is_made_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, locked: bool
) -> None:
    """Between its making and its locking, a program that starts may find it empty."""
    path = tmp_path / "s1.jsonl"
    lock = journals._lock
    calls: list[int] = []

    def late(descriptor: int, path: Path) -> None:
        calls.append(descriptor)
        if len(calls) == 1:
            path.unlink()
            if locked:
                raise DraftInUseError("held by the one that tidies up")
        lock(descriptor, path)

    monkeypatch.setattr(journals, "_lock", late)
    journal = Journal.create(path)
    journal.append(seal(records().session.events))
    journal.close()
    assert len(calls) == 2
    assert len(journals.read(path).records) == 7


def test_a_draft_removed_by_its_holder_while_waiting_is_missing(
    kept: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    lock = journals._lock

    def late(descriptor: int, path: Path) -> None:
        path.unlink()
        lock(descriptor, path)

    monkeypatch.setattr(journals, "_lock", late)
    with pytest.raises(StoreError, match="no draft s1"):
        Journal.open(kept)
