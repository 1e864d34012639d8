from __future__ import annotations

import errno
import os
import shutil
import subprocess
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from dictate.errors import StoreError
from dictate.store import journal as journals
from dictate.store.chain import FIRST, digest
from dictate.store.journal import DraftInUseError, Journal
from dictate.store.lines import SealedLines
from tests.exam_samples import Chair
from tests.seal_samples import SEALER, derived_apart, opened_apart, seal


def records(findings: int = 3) -> Chair:
    chair = Chair()
    for _ in range(findings):
        chair.plaque()
    return chair


@pytest.fixture
def kept(tmp_path: Path) -> Path:
    """A journal with seven events in four acts, closed."""
    journal = Journal.create(tmp_path / "drafts" / "s1.jsonl", SEALER)
    journal.append(seal(records().session.events))
    journal.close()
    return journal.path


def test_what_was_appended_is_read_back(kept: Path) -> None:
    events = records().session.events
    reading = journals.read(kept, SEALER)
    assert tuple(each.event for each in reading.records) == events
    assert reading.torn == b""
    journal, torn = Journal.open(kept, SEALER)
    more = records(4).session.events[7:]
    journal.append(seal(more, journal.head))
    journal.close()
    assert torn == b""
    assert tuple(each.event for each in journals.read(kept, SEALER).records) == (*events, *more)


def beside(kept: Path) -> Path:
    """Another file for the same draft: a line opens in its own draft only."""
    folder = kept.with_name("beside")
    folder.mkdir(exist_ok=True)
    return folder / kept.name


def test_a_line_is_the_keyed_hash_that_openssl_computes(kept: Path) -> None:
    # Outside reference: HMAC-SHA-256 of OpenSSL's command over "<hash before> <event>", its key
    # and the text taken out of the line apart from the program.
    tool = shutil.which("openssl")
    assert tool
    key = bytes(range(32))
    chain_key = derived_apart(key, b"dictate chain").hex()
    command = [tool, "dgst", "-sha256", "-mac", "HMAC", "-macopt", f"hexkey:{chain_key}"]
    before = "0" * 64
    for line in kept.read_text().splitlines():
        hash_, prev, sealed = line.split(" ")
        text = opened_apart(key, sealed, f"draft s1 {prev}")
        said = subprocess.run(
            command, input=f"{prev} {text}".encode(), capture_output=True, check=True
        ).stdout
        assert said.split()[-1].decode() == hash_
        assert prev == before
        before = hash_


def test_a_line_says_nothing_of_its_event(kept: Path) -> None:
    data = kept.read_bytes()
    for words in (b"session_started", b"a plaque", b"system", b"lateral border"):
        assert words in kept_in_plain(kept)
        assert words not in data


def kept_in_plain(kept: Path) -> bytes:
    return "".join(each.text for each in journals.read(kept, SEALER).records).encode()


def test_only_the_owner_can_read_it(kept: Path) -> None:
    assert kept.stat().st_mode & 0o777 == 0o600
    assert kept.parent.stat().st_mode & 0o777 == 0o700


def test_an_open_folder_is_closed(tmp_path: Path) -> None:
    (tmp_path / "drafts").mkdir(mode=0o755)
    Journal.create(tmp_path / "drafts" / "s1.jsonl", SEALER).close()
    assert (tmp_path / "drafts").stat().st_mode & 0o777 == 0o700


def test_two_damaged_lines_at_the_end_are_not_taken_for_a_crash(kept: Path) -> None:
    lines = kept.read_bytes().splitlines(keepends=True)
    kept.write_bytes(b"".join([*lines[:-2], b"#" + lines[-2], flipped(lines[-1])]))
    damaged = kept.read_bytes()
    with pytest.raises(StoreError, match="Line 6 of the draft s1 is damaged"):
        Journal.open(kept, SEALER)
    assert kept.read_bytes() == damaged


def flipped(line: bytes) -> bytes:
    """One bit of the sealed text changed."""
    changed = ord("A") if line[-10] != ord("A") else ord("B")
    return line[:-10] + bytes([changed]) + line[-9:]


@pytest.mark.parametrize("line", [1, 2, 5, 7])
def test_a_damaged_line_in_the_middle_is_named_and_the_file_kept(kept: Path, line: int) -> None:
    lines = kept.read_bytes().splitlines(keepends=True)
    lines[line - 1] = flipped(lines[line - 1])
    kept.write_bytes(b"".join(lines))
    damaged = kept.read_bytes()
    with pytest.raises(
        StoreError, match=f"Line {line} of the draft s1 has been altered or damaged"
    ):
        Journal.open(kept, SEALER)
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
        journals.read(kept, SEALER)


def test_an_event_of_a_later_program_is_refused_not_lost(kept: Path) -> None:
    event = seal(records().session.events)[0]
    text = event.text.replace('"session_started"', '"session_dreamt"')
    record = replace(event, text=text, hash=digest(SEALER, FIRST, text))
    kept.write_bytes(SealedLines(SEALER, "s1").line(record))
    with pytest.raises(StoreError, match="does not know; update dictate"):
        Journal.open(kept, SEALER)


@given(cut=st.integers(1, 4000))
@settings(
    max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
def test_cut_anywhere_it_gives_whole_acts(kept: Path, cut: int) -> None:
    events = records().session.events
    data = kept.read_bytes()
    short = beside(kept)
    short.write_bytes(data[: max(0, len(data) - cut)])
    found = tuple(each.event for each in journals.read(short, SEALER).records)
    assert found == events[: len(found)]
    assert len(found) in (0, 1, 3, 5, 7)


@given(st.binary(max_size=300))
@settings(
    max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
def test_rubbish_at_the_end_is_set_aside(kept: Path, rubbish: bytes) -> None:
    other = beside(kept)
    other.write_bytes(kept.read_bytes() + rubbish)
    reading = journals.read(other, SEALER)
    assert len(reading.records) == 7
    assert reading.torn == rubbish


def test_it_is_held_by_one_program_at_a_time(kept: Path) -> None:
    journal, _ = Journal.open(kept, SEALER)
    with pytest.raises(DraftInUseError, match="open in another program"):
        Journal.open(kept, SEALER)
    journal.close()
    journal.close()
    Journal.open(kept, SEALER)[0].close()


def test_missing_and_doubled_drafts_are_told(kept: Path) -> None:
    with pytest.raises(StoreError, match="no draft s2"):
        Journal.open(kept.with_name("s2.jsonl"), SEALER)
    with pytest.raises(StoreError, match="a draft s1 already"):
        Journal.create(kept, SEALER)


def test_it_is_synced_after_each_append(kept: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    calls: list[str] = []
    write, fsync = os.write, os.fsync

    def writing(descriptor: int, data: bytes) -> int:
        calls.append("write")
        return write(descriptor, data[:100])  # as a full pipe or disk would: in pieces

    def syncing(descriptor: int) -> None:
        calls.append("fsync")
        fsync(descriptor)

    journal, _ = Journal.open(kept, SEALER)
    monkeypatch.setattr(os, "write", writing)
    monkeypatch.setattr(os, "fsync", syncing)
    journal.append(seal(records(4).session.events[7:], journal.head))
    assert calls[-1] == "fsync"
    assert set(calls[:-1]) == {"write"}
    journal.close()
    assert len(journals.read(kept, SEALER).records) == 9


def test_half_a_write_that_could_not_be_taken_back_is_taken_back_later(
    kept: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write = os.write

    def full(descriptor: int, data: bytes) -> int:
        if len(data) < 200:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        return write(descriptor, data[:200])

    journal, _ = Journal.open(kept, SEALER)
    more = seal(records(4).session.events[7:], journal.head)
    with monkeypatch.context() as patch:
        patch.setattr(os, "write", full)
        patch.setattr(journal, "_take_back", lambda: None)
        with pytest.raises(StoreError, match="disk is full"):
            journal.append(more)
    assert journals.read(kept, SEALER).torn
    journal.append(more)
    journal.close()
    assert len(journals.read(kept, SEALER).records) == 9
    assert journals.read(kept, SEALER).torn == b""


@pytest.mark.parametrize("locked", [True, False])
def test_a_new_journal_that_another_program_tidies_away_is_made_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, locked: bool
) -> None:
    """Between its making and its locking, a program that starts may find it empty."""
    path = tmp_path / "s1.jsonl"
    lock = journals.lock
    calls: list[int] = []

    def late(descriptor: int, path: Path) -> None:
        calls.append(descriptor)
        if len(calls) == 1:
            path.unlink()
            if locked:
                raise DraftInUseError("held by the one that tidies up")
        lock(descriptor, path)

    monkeypatch.setattr(journals, "lock", late)
    journal = Journal.create(path, SEALER)
    journal.append(seal(records().session.events))
    journal.close()
    assert len(calls) == 2
    assert len(journals.read(path, SEALER).records) == 7


def test_a_draft_removed_by_its_holder_while_waiting_is_missing(
    kept: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    lock = journals.lock

    def late(descriptor: int, path: Path) -> None:
        path.unlink()
        lock(descriptor, path)

    monkeypatch.setattr(journals, "lock", late)
    with pytest.raises(StoreError, match="no draft s1"):
        Journal.open(kept, SEALER)
