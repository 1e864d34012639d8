"""Nothing of trail, sessions and journals is altered, removed, moved or made up unseen."""

from __future__ import annotations

import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from dictate.errors import StoreError
from dictate.exam.commands import Amend, ChangeField
from dictate.exam.session import Session
from dictate.store import outbox, trail, trail_head
from dictate.store.drafts import Draft
from dictate.store.people import People
from dictate.store.store import Store
from dictate.store.tables import VisitRow
from dictate.store.verifying import Verdict, verify
from dictate.store.worklist import Worklist
from tests.exam_samples import PROTOCOL, START, Chair
from tests.store_script import journal_of, run


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("made")
    with Store(folder) as store:
        people = People(store.database())
        people.add("C. Dahl", "examiner")
        people.add("E. Fell", "assistant")
        run(store)
        store.roles.act_as("C. Dahl")
        change = ChangeField(target="f1", field="side", value="right")
        command = Amend(examiner="C. Dahl", why="mistaken", changes=(change,))
        store.amend("s1", command, actor="keyboard", at=START)
        chair = Chair(Session.start("s2", PROTOCOL, START, patient="P-17"))
        store.create(chair.session)
        store.append("s2", chair.plaque().events)
        for _ in range(3):
            store.note("viewed", session="s1", patient="P-17")
    return folder


@pytest.fixture
def home(made: Path, tmp_path: Path) -> Path:
    """A signed and amended session, a draft, people and a trail of what was looked at."""
    return Path(shutil.copytree(made, tmp_path / "home"))


def found(home: Path) -> Verdict:
    with Store(home) as store:
        return verify(store.untouched(), store.folder)


def change(home: Path, *statements: str) -> None:
    """What somebody with the file does to it, guards taken away and put back."""
    with closing(sqlite3.connect(home / "records.db")) as database:
        guards = database.execute(
            "SELECT name, sql FROM sqlite_master WHERE type = 'trigger'"
        ).fetchall()
        for name, _ in guards:
            database.execute(f"DROP TRIGGER {name}")
        for each in statements:
            assert database.execute(each).rowcount > 0, each
        for _, sql in guards:
            database.execute(sql)
        database.commit()


def test_what_nobody_touched_is_right(home: Path) -> None:
    verdict = found(home)
    assert verdict.faults == []
    with closing(sqlite3.connect(home / "records.db")) as database:
        kept = [
            database.execute(f"SELECT count(*) FROM {t}").fetchone()[0] for t in ("trail", "events")
        ]
    assert verdict.entries == sum(kept) + len(journal_of(home, "s2").read_bytes().splitlines())


LAST = "(SELECT max(seq) FROM trail)"
FLIP = (
    "substr({0}, 1, 40) || CASE substr({0}, 41, 1) WHEN 'A' THEN 'B' ELSE 'A' END"
    " || substr({0}, 42)"
)
ALTERED = {
    "a cell of the trail": [f"UPDATE trail SET entry = {FLIP.format('entry')} WHERE seq = 3"],
    "a kind in the trail": ["UPDATE trail SET kind = 'other' WHERE seq = 1"],
    "a hash in the trail": ["UPDATE trail SET hash = prev_hash WHERE seq = 3"],
    "the middle of the trail gone": ["DELETE FROM trail WHERE seq = 4"],
    "the middle gone, the rest moved up": [
        "DELETE FROM trail WHERE seq = 4",
        "UPDATE trail SET seq = seq - 1 WHERE seq = 5",
    ],
    "the first of the trail gone": ["DELETE FROM trail WHERE seq = 1"],
    "the last of the trail gone": [f"DELETE FROM trail WHERE seq = {LAST}"],
    "all of the trail gone": ["DELETE FROM trail"],
    "two of the trail exchanged": [
        "UPDATE trail SET seq = 1000 WHERE seq = 3",
        "UPDATE trail SET seq = 3 WHERE seq = 4",
        "UPDATE trail SET seq = 4 WHERE seq = 1000",
    ],
    "one made up in the trail": [
        "INSERT INTO trail (seq, kind, entry, prev_hash, hash) SELECT seq + 1, kind, entry, hash,"
        f" prev_hash FROM trail WHERE seq = {LAST}"
    ],
    "one of the trail twice": [
        "INSERT INTO trail (seq, kind, entry, prev_hash, hash) SELECT seq + 1, kind, entry,"
        f" prev_hash, hash FROM trail WHERE seq = {LAST}"
    ],
    "a cell of a session": [f"UPDATE events SET event = {FLIP.format('event')} WHERE seq = 5"],
    "an event gone": ["DELETE FROM events WHERE session_id = 's1' AND seq = 5"],
    "the amendment gone": [
        "DELETE FROM events WHERE session_id = 's1' AND type = 'amended'",
        "UPDATE sessions SET version = 1 WHERE id = 's1'",
    ],
    "a whole session gone": [
        "DELETE FROM events WHERE session_id = 's1'",
        "DELETE FROM sessions WHERE id = 's1'",
    ],
    "a draft gone from the database": [
        "DELETE FROM events WHERE session_id = 's2'",
        "DELETE FROM sessions WHERE id = 's2'",
    ],
    "a session's entry": ["UPDATE sessions SET state = 'draft' WHERE id = 's1'"],
    "a session's examiner": ["UPDATE sessions SET examiner = NULL WHERE id = 's1'"],
    "two events exchanged": [
        "UPDATE events SET seq = 1000 WHERE session_id = 's1' AND seq = 3",
        "UPDATE events SET seq = 3 WHERE session_id = 's1' AND seq = 4",
        "UPDATE events SET seq = 4 WHERE session_id = 's1' AND seq = 1000",
    ],
    "a session put in": [
        "INSERT INTO sessions (id, created, state, version) SELECT 's9', created, 'draft', 0"
        " FROM sessions WHERE id = 's2'",
        "INSERT INTO events (session_id, seq, at, actor, type, event, prev_hash, hash)"
        " SELECT 's9', seq, at, actor, type, event, prev_hash, hash FROM events"
        " WHERE session_id = 's2'",
    ],
}


@pytest.mark.parametrize("kind", ALTERED)
def test_what_was_altered_is_found(home: Path, kind: str) -> None:
    change(home, *ALTERED[kind])
    faults = found(home).faults
    assert faults, kind
    assert not any("\n" in each or "P-17" in each for each in faults)


def test_guards_taken_away_are_missed(home: Path) -> None:
    with closing(sqlite3.connect(home / "records.db")) as database:
        database.execute("DROP TRIGGER trail_stays")
        database.commit()
    assert found(home).faults == ["The guard trail_stays is missing in the database."]


@pytest.mark.parametrize(
    "statement",
    ["UPDATE trail SET kind = 'other'", "DELETE FROM trail", "DELETE FROM trail WHERE seq = 2"],
)
def test_the_trail_refuses_to_be_changed(home: Path, statement: str) -> None:
    with (
        closing(sqlite3.connect(home / "records.db")) as database,
        pytest.raises(sqlite3.IntegrityError, match="never changed"),
    ):
        database.execute(statement)


@pytest.mark.parametrize("line", [0, 1, 2])
def test_an_altered_line_of_a_journal_is_found(home: Path, line: int) -> None:
    journal = journal_of(home, "s2")
    lines = journal.read_bytes().splitlines(keepends=True)
    lines[line] = (
        lines[line][:150] + (b"A" if lines[line][150:151] != b"A" else b"B") + lines[line][151:]
    )
    journal.write_bytes(b"".join(lines))
    assert found(home).faults


def test_journal_lines_exchanged_or_gone_are_found(home: Path) -> None:
    journal = journal_of(home, "s2")
    first, second, third = journal.read_bytes().splitlines(keepends=True)
    for wrong in (first + third + second, second + third, first + third):
        journal.write_bytes(wrong)
        assert found(home).faults


def gone_on(home: Path, folder: Path, *sides: str) -> Path:
    """A copy of the home in which the draft went on, with the store's own key."""
    other = Path(shutil.copytree(home, folder))
    with Store(other) as store:
        seat = Chair(store.resume("s2"))
        for side in sides:
            store.append("s2", seat.plaque(side=side).events)
    return other


@pytest.mark.parametrize("lines", [1, 2, 3])
def test_a_journal_that_lacks_what_the_database_has_is_found(home: Path, lines: int) -> None:
    """Its lines are whole and in order: only the database tells that the last ones are gone."""
    journal = journal_of(home, "s2")
    kept = journal.read_bytes().splitlines(keepends=True)[:lines]
    journal.write_bytes(b"".join(kept))
    lost = {1: 2, 2: 2, 3: 0}[lines]  # half an act counts for nothing
    told = [f"The draft s2 lacks {lost} events at its end that the database has."] if lost else []
    assert found(home).faults == told
    with Store(home) as store:  # opening puts it right
        assert len(store.resume("s2").events) == 3
    assert found(home).faults == []


def test_a_journal_with_another_history_than_the_database_is_found(
    home: Path, tmp_path: Path
) -> None:
    """Made with the key itself, so that every line and row opens."""
    left, right = (gone_on(home, tmp_path / side, side) for side in ("left", "right"))
    assert found(left).faults == found(right).faults == []
    shutil.copy(journal_of(right, "s2"), journal_of(left, "s2"))
    told = "Event 5 of session s2 is not the same in its draft here and in the database."
    assert found(left).faults == [told]
    shutil.copy(right / "records.db", home / "records.db")
    shutil.copy(right / trail_head.FILE, home / trail_head.FILE)
    assert found(home).faults == ["The draft s2 lacks 2 events at its end that the database has."]


def test_a_database_that_lacks_what_the_journal_has_is_no_fault(home: Path, tmp_path: Path) -> None:
    """It follows the journal, sometimes later."""
    other = gone_on(home, tmp_path / "other", "right")
    shutil.copy(journal_of(other, "s2"), journal_of(home, "s2"))
    assert found(home).faults == []


def test_another_chair_that_went_on_with_a_draft_is_no_fault(tmp_path: Path, url: str) -> None:
    (tmp_path / "two").mkdir()
    with Store(tmp_path / "one", url) as one:
        seat = Chair()
        one.create(seat.session)
        shutil.copy(tmp_path / "one" / "store.key", tmp_path / "two")
    with Store(tmp_path / "two", url) as two:
        seat = Chair(two.resume("s1"))
        two.append("s1", seat.plaque().events)
    with Store(tmp_path / "one", url) as one:
        assert len(one.folder.read("s1")) == 1
        assert verify(one.untouched(), one.folder).faults == []


def test_a_signed_journal_that_waits_is_no_fault(home: Path, tmp_path: Path) -> None:
    other = Path(shutil.copytree(home, tmp_path / "other"))
    with Store(other) as store:
        seat = Chair(store.resume("s2"))
        seat.signed()
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(Draft, "remove", lambda _: None)  # killed before that
            store.append("s2", seat.session.events)
        change = ChangeField(target="f1", field="side", value="right")
        amend = Amend(examiner="C. Dahl", why="mistaken", changes=(change,))
        store.roles.act_as("C. Dahl")
        store.amend("s2", amend, actor="keyboard", at=START)
    assert journal_of(other, "s2").exists()
    assert found(other).faults == []


def test_the_end_stays_told_missing_whatever_is_added(home: Path) -> None:
    change(home, f"DELETE FROM trail WHERE seq > {LAST} - 2")
    with Store(home) as store:
        for _ in range(5):
            store.note("viewed", session="s1")
    assert any("end of the audit trail" in each for each in found(home).faults)


def test_an_altered_head_is_found(home: Path) -> None:
    file = home / trail_head.FILE
    file.write_text(file.read_text().replace('"seq":', '"seq": '))
    assert any(trail_head.FILE in each for each in found(home).faults)


def test_a_discarded_draft_is_no_fault(home: Path) -> None:
    with Store(home) as store:
        store.discard("s2")
    assert found(home).faults == []


def test_the_trail_waits_on_the_disk_while_the_database_is_held(home: Path) -> None:
    with closing(sqlite3.connect(home / "records.db", isolation_level=None)) as holder:
        holder.execute("BEGIN IMMEDIATE")
        with Store(home) as store:
            store.note("exported", session="s1", detail="pdf")
            assert any("holds the database" in line for line in store.notes)
            (waiting,) = outbox.waiting(home, store.unlocked()).values()
            assert (waiting.action, waiting.detail) == ("exported", "pdf")
        holder.execute("ROLLBACK")
    with Store(home) as store:
        store.note("viewed", session="s1")
        assert outbox.waiting(home, store.unlocked()) == {}
    assert found(home).faults == []


def test_an_altered_entry_that_waits_is_told_and_holds_up_no_other(home: Path) -> None:
    with Store(home) as store:
        entry = trail.made("viewed", "C. Dahl", session="s1")
        outbox.put(home, store.unlocked(), entry)
        (file,) = (home / outbox.FOLDER).iterdir()
        file.write_bytes(file.read_bytes()[:-2])
        store.note("exported", session="s1", detail="pdf")
        assert "has been altered" in store.notes[0]
        with store.database().transaction("read") as transaction:
            last = list(trail.entries(transaction, store.unlocked()))[-1]
        assert (last.action, last.detail) == ("exported", "pdf")
    assert list((home / outbox.FOLDER).iterdir()) == [file]
    assert any("altered" in each for each in found(home).faults)


def test_nobody_becomes_an_examiner_by_changing_a_row(home: Path) -> None:
    change(home, f"UPDATE trail SET entry = {FLIP.format('entry')} WHERE seq = 2")
    with Store(home) as store, pytest.raises(StoreError):
        People(store.database()).all()


def test_what_an_earlier_program_kept_for_later_is_no_fault(home: Path) -> None:
    with Store(home) as store:
        kept = Worklist(store).visits()
        with store.database().transaction("change the form", writing=True) as transaction:
            row = transaction.get_one(VisitRow, "s1")
            row.form, row.visit = row.form - 1, '{"session": "s1"}'
    assert found(home).faults == []
    with Store(home) as store:
        assert Worklist(store).visits() == kept
