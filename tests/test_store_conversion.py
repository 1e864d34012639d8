"""Records from before sealing are sealed on first opening: all of them, and nothing is lost."""

from __future__ import annotations

import hashlib
import json
import random
import shutil
import sqlite3
import tempfile
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest

from dictate.errors import StoreError
from dictate.exam.events import Event
from dictate.store import keys
from dictate.store.conversion import opened_or_made
from dictate.store.store import Store
from tests.killing import KILLED, killed_at
from tests.old_stores import OPEN, STATES, old_events, old_home
from tests.test_store_crash import SHARED_MEMORY

KILLS = 24
WORDS = (b"session_started", b"lateral border", b"utterance_heard", b"A. Berg")
"""None of them can be met by chance among sealed letters."""


@pytest.fixture
def fast(tmp_path: Path) -> Iterator[Path]:
    """A folder in memory where there is one: a kill loses nothing that was written."""
    if not SHARED_MEMORY.is_dir():
        yield tmp_path
        return
    with tempfile.TemporaryDirectory(dir=SHARED_MEMORY) as folder:
        yield Path(folder)


def plain_words(home: Path) -> set[tuple[str, bytes]]:
    """Where in the home, to the last byte of every file, a word of a record can be read."""
    return {
        (path.name, word)
        for path in home.rglob("*")
        if path.is_file()
        for word in WORDS
        if word in path.read_bytes()
    }


def check_sealed(home: Path, version: int) -> None:
    with Store(home) as store:
        assert {each.id: each.state for each in store.list()} == STATES
        for name, events in old_events(version).items():
            assert store.load(name).events == tuple(Event.model_validate(each) for each in events)
        assert store.notes == ()
        assert store.resume("s2").id == "s2"
    assert plain_words(home) == set()
    assert not keys.is_converting(home)


@pytest.mark.parametrize("version", OPEN)
def test_afterwards_no_byte_of_it_can_be_read(tmp_path: Path, version: int) -> None:
    home = old_home(tmp_path / "home", version)
    assert len({word for _, word in plain_words(home)}) == len(WORDS)
    check_sealed(home, version)


def test_what_a_crash_had_torn_off_is_sealed_too(tmp_path: Path) -> None:
    home = old_home(tmp_path / "home", 2)
    journal = home / "drafts" / "s2.jsonl"
    journal.with_suffix(".torn").write_bytes(journal.read_bytes().splitlines()[0])
    journal.write_bytes(journal.read_bytes() + b'0123 {"said": "lateral border"')
    check_sealed(home, 2)
    sealer = keys.bare(home)
    torn = sealer.open((home / "drafts" / "s2.torn").read_text(), "torn s2")
    assert torn.endswith('lateral border"') or "session_started" in torn


def test_killed_anywhere_it_is_the_old_or_the_new(fast: Path) -> None:
    chance, reached = random.Random(20310304), 0
    last = next(point for point in range(400, 0, -40) if _killed(fast, point, 2) == KILLED)
    for turn in range(KILLS):
        version = OPEN[turn % len(OPEN)]
        status = _killed(fast, chance.randint(1, last), version)
        assert status in (0, KILLED)
        reached += status == KILLED
        check_sealed(fast / "home", version)
    print(f"conversions killed: {reached} of {KILLS}, lost 0")
    assert reached > KILLS // 2


def _killed(folder: Path, point: int, version: int) -> int:
    shutil.rmtree(folder / "home", ignore_errors=True)
    home = old_home(folder / "home", version)

    def convert() -> None:
        with Store(home) as store:
            store.list()

    return killed_at(point, convert)


def test_a_record_that_had_been_altered_is_not_taken_for_whole(tmp_path: Path) -> None:
    home = old_home(tmp_path / "home", 2)
    with closing(sqlite3.connect(home / "records.db")) as database:
        database.execute("DROP TRIGGER IF EXISTS events_never_change")
        database.execute(
            "UPDATE events SET event = replace(event, 'left', 'right') WHERE session_id = 's1'"
        )
        database.commit()
    with Store(home) as store:
        with pytest.raises(StoreError, match="of session s1 has been altered"):
            store.load("s1")
        assert store.load("s3").is_final


def test_a_damaged_draft_is_left_as_it_is_and_told_each_time(tmp_path: Path) -> None:
    home = old_home(tmp_path / "home", 2)
    journal = home / "drafts" / "s2.jsonl"
    first, rest = journal.read_bytes().split(b"\n", 1)
    journal.write_bytes(first.replace(b"session", b"lesson", 1) + b"\n" + rest)
    damaged = journal.read_bytes()
    for _ in range(2):
        with Store(home) as store:
            assert {each.id for each in store.list()} == set(STATES)
            assert any("Line 1 of the draft s2" in line for line in store.notes)
        assert journal.read_bytes() == damaged
    assert keys.is_converting(home)


def test_once_all_is_sealed_nothing_that_is_not_is_taken_for_a_record(tmp_path: Path) -> None:
    home = old_home(tmp_path / "home", 2)
    old = (home / "drafts" / "s2.jsonl").read_bytes()
    check_sealed(home, 2)
    planted = home / "drafts" / "s2.jsonl"
    planted.write_bytes(old)
    with Store(home) as store, pytest.raises(StoreError, match="is not sealed"):
        store.resume("s2")
    assert planted.read_bytes() == old
    planted.unlink()
    for path in home.glob("records.db*"):
        path.unlink()
    shutil.copy(old_home(tmp_path / "other", 2) / "records.db", home / "records.db")
    with Store(home) as store, pytest.raises(StoreError, match="is not sealed, though"):
        store.list()
    forged = (home / "store.key").read_text().replace('"converting":false', '"converting":true')
    text = forged.rpartition(" ")[0]
    (home / "store.key").write_text(f"{text} {hashlib.sha256(text.encode()).hexdigest()}\n")
    assert json.loads(text)["converting"]
    with pytest.raises(StoreError, match="altered"):
        opened_or_made(home)
