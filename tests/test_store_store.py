from __future__ import annotations

from datetime import timedelta
from pathlib import Path

import pytest

from dictate.errors import ExamError, StoreError
from dictate.exam.commands import Amend, ChangeField
from dictate.exam.session import Session
from dictate.store.home import home_folder
from dictate.store.store import Store, new_id
from tests.exam_samples import PROTOCOL, START, Chair
from tests.store_script import expected, journal_of, run

SIDE = Amend(
    examiner="C. Dahl",
    why="side mistaken",
    changes=(ChangeField(target="f1", field="side", value="right"),),
)


def start(id_: str, minutes: int = 0, patient: str | None = None) -> Chair:
    at = START + timedelta(minutes=minutes)
    chair = Chair(Session.start(id_, PROTOCOL, at, patient=patient))
    chair.now = at
    return chair


def test_a_whole_examination_is_kept(tmp_path: Path) -> None:
    with Store(tmp_path) as store:
        session = run(store)
        (entry,) = store.list()
    assert (entry.id, entry.state, entry.examiner, entry.version) == ("s1", "final", "A. Berg", 1)
    assert entry.created == START
    with Store(tmp_path) as store:
        kept = store.load("s1")
    assert kept.events == session.events == expected()
    assert kept.state == session.state
    assert kept.utterances == session.utterances


def test_a_draft_is_resumed_whole(tmp_path: Path) -> None:
    chair = Chair()
    with Store(tmp_path) as store:
        store.create(chair.session)
        store.append("s1", chair.plaque().events)
    with Store(tmp_path) as store:
        session = store.resume()
        assert session.state == chair.session.state
        assert store.resume("s1").events == session.events
        chair = Chair(session)
        store.append("s1", chair.plaque().events)
        assert store.load("s1").events == session.events


def test_the_draft_worked_on_last_is_resumed(tmp_path: Path) -> None:
    first, second = start("first"), start("second", 1)
    with Store(tmp_path) as store:
        store.create(first.session)
        store.create(second.session)
        first.now += timedelta(hours=1)
        store.append("first", first.plaque().events)
    with Store(tmp_path) as store, Store(tmp_path) as other:
        assert store.resume().id == "first"
        assert other.resume().id == "second"
        with pytest.raises(StoreError, match="first is open in another program"):
            other.resume("first")
        with Store(tmp_path) as third, pytest.raises(StoreError, match="open in another program"):
            third.resume()


def test_nothing_to_resume(tmp_path: Path) -> None:
    with Store(tmp_path) as store:
        with pytest.raises(StoreError, match="no draft to resume"):
            store.resume()
        with pytest.raises(StoreError, match="no session s1"):
            store.resume("s1")
        with pytest.raises(StoreError, match="no session s1"):
            store.load("s1")
        assert store.list() == ()


@pytest.mark.parametrize("name", ["", "../s1", "a/b", ".hidden", "x" * 65, "a\0b", "a\nb"])
def test_ids_that_are_no_file_names_are_refused(tmp_path: Path, name: str) -> None:
    with Store(tmp_path) as store:
        for act in (store.load, store.discard):
            with pytest.raises(StoreError, match="no session id"):
                act(name)
        with pytest.raises(StoreError, match="no session id"):
            store.create(start(name).session)


def test_an_id_is_used_once(tmp_path: Path) -> None:
    with Store(tmp_path) as store:
        run(store)
        store.create(start("s2").session)
        for id_ in ("s1", "s2"):
            with pytest.raises(StoreError, match="already"):
                store.create(start(id_).session)
    with Store(tmp_path) as store:
        for id_ in ("s1", "s2"):
            with pytest.raises(StoreError, match="already"):
                store.create(start(id_).session)
        assert store.load("s1").events == expected()


def test_new_ids_differ_and_sort_by_time() -> None:
    made = [new_id(START), new_id(START), new_id(START + timedelta(seconds=1))]
    assert len(set(made)) == 3
    assert made[0].startswith("20310304-093000-")
    assert max(made) == made[2]


def test_events_passed_twice_are_kept_once_and_gaps_are_refused(tmp_path: Path) -> None:
    chair = Chair()
    with Store(tmp_path) as store:
        store.create(chair.session)
        first, second = chair.plaque().events, chair.plaque().events
        with pytest.raises(StoreError, match="does not continue"):
            store.append("s1", second)
        store.append("s1", first)
        store.append("s1", (*first, *second))
        other = Chair()
        other.plaque(side="right")
        with pytest.raises(StoreError, match="does not continue"):
            store.append("s1", other.session.events)
        assert store.load("s1").events == chair.session.events


def test_only_a_signed_session_is_finalised(tmp_path: Path) -> None:
    chair = Chair()
    with Store(tmp_path) as store:
        store.create(chair.session)
        with pytest.raises(StoreError, match="not signed"):
            store.finalise(chair.session)
        chair.signed()
        store.finalise(chair.session)
        store.finalise(chair.session)
        assert store.load("s1").is_final
        assert not journal_of(tmp_path).exists()


def test_amending(tmp_path: Path) -> None:
    with Store(tmp_path) as store:
        session = run(store)
        later = START + timedelta(days=1)
        amended = store.amend("s1", SIDE, actor="C. Dahl", at=later)
        assert amended.version == 2
    with Store(tmp_path) as store:
        kept = store.load("s1")
        assert kept.events[:-1] == session.events
        assert (kept.events[-1].actor, kept.events[-1].at) == ("C. Dahl", later)
        assert kept.at_version(1).state == session.state
        assert kept.findings[0].side == "right"
        assert store.list()[0].version == 2
        with pytest.raises(ExamError, match="is that already"):
            store.amend("s1", SIDE, actor="C. Dahl", at=later)
        assert store.load("s1").version == 2


def test_an_amendment_made_in_the_session_is_appended(tmp_path: Path) -> None:
    with Store(tmp_path) as store:
        session = run(store)
        outcome = session.do(SIDE, actor="C. Dahl", at=START)
        store.append("s1", outcome.events)
        assert store.load("s1").version == 2


def test_two_who_amend_at_once_do_not_lose_one(tmp_path: Path) -> None:
    with Store(tmp_path) as store, Store(tmp_path) as other:
        run(store)
        mine, theirs = store.load("s1"), other.load("s1")
        ulcer = SIDE.model_copy(
            update={"changes": (ChangeField(target="f1", field="kind", value="ulcer"),)}
        )
        store.append("s1", mine.do(SIDE, actor="C. Dahl", at=START).events)
        with pytest.raises(StoreError, match="does not continue"):
            other.append("s1", theirs.do(ulcer, actor="E. Falk", at=START).events)
        other.amend("s1", ulcer, actor="E. Falk", at=START)
        assert store.load("s1").version == 3


def test_a_draft_is_not_amended_and_a_final_record_not_discarded(tmp_path: Path) -> None:
    with Store(tmp_path) as store:
        run(store)
        chair = start("s2")
        store.create(chair.session)
        store.append("s2", chair.hear("Quillfeather").events)
        with pytest.raises(StoreError, match="s2 is a draft"):
            store.amend("s2", SIDE, actor="x", at=START)
        with pytest.raises(StoreError, match="s1 is final and is kept"):
            store.discard("s1")
        with pytest.raises(StoreError, match="no session s3"):
            store.discard("s3")
        store.discard("s2")
        assert [each.id for each in store.list()] == ["s1"]
        for path in tmp_path.rglob("*"):
            assert path.is_dir() or b"Quillfeather" not in path.read_bytes()


def test_a_closed_draft_is_discarded_too(tmp_path: Path) -> None:
    with Store(tmp_path) as store:
        store.create(Chair().session)
    with Store(tmp_path) as store:
        store.discard("s1")
        assert store.list() == ()
    assert not journal_of(tmp_path).exists()


def test_the_list_shows_the_latest_first(tmp_path: Path) -> None:
    with Store(tmp_path) as store:
        for count, name in enumerate(["a", "b", "c"]):
            store.create(start(name, count, patient=f"P-{count}").session)
        assert [(each.id, each.patient, each.state) for each in store.list()] == [
            ("c", "P-2", "draft"),
            ("b", "P-1", "draft"),
            ("a", "P-0", "draft"),
        ]


def test_a_lost_journal_is_made_anew_from_the_database(tmp_path: Path) -> None:
    chair = Chair()
    with Store(tmp_path) as store:
        store.create(chair.session)
        store.append("s1", chair.plaque().events)
    journal_of(tmp_path).unlink()
    with Store(tmp_path) as store:
        assert store.resume("s1").events == chair.session.events
    assert len(journal_of(tmp_path).read_bytes().splitlines()) == 3


def test_events_lost_at_the_end_of_a_journal_come_back_from_the_database(tmp_path: Path) -> None:
    chair = Chair()
    with Store(tmp_path) as store:
        store.create(chair.session)
        store.append("s1", chair.plaque().events)
    path = journal_of(tmp_path)
    path.write_bytes(path.read_bytes().splitlines(keepends=True)[0])
    with Store(tmp_path) as store:
        assert store.resume().events == chair.session.events
        assert "lacked 2 events" in store.notes[0]


def test_a_lost_database_is_filled_again_from_the_journals(tmp_path: Path) -> None:
    chair = Chair()
    with Store(tmp_path) as store:
        store.create(chair.session)
        store.append("s1", chair.plaque().events)
    for each in tmp_path.glob("records.db*"):
        each.unlink()
    with Store(tmp_path) as store:
        assert [each.state for each in store.list()] == ["draft"]
    journal_of(tmp_path).unlink()
    with Store(tmp_path) as store:
        assert store.load("s1").events == chair.session.events


def test_one_damaged_draft_does_not_hide_the_others(tmp_path: Path) -> None:
    with Store(tmp_path) as store:
        store.create(start("good").session)
        chair = start("bad")
        store.create(chair.session)
        store.append("bad", chair.plaque().events)
    for each in tmp_path.glob("records.db*"):
        each.unlink()
    path = journal_of(tmp_path, "bad")
    first, rest = path.read_bytes().split(b"\n", 1)
    path.write_bytes(first[:-20] + first[-20:].swapcase() + b"\n" + rest)
    damaged = path.read_bytes()
    with Store(tmp_path) as store:
        assert [each.id for each in store.list()] == ["good"]
        assert len(store.notes) == 1
        assert "Line 1 of the draft bad has been altered or damaged" in store.notes[0]
        with pytest.raises(StoreError, match="Line 1"):
            store.resume("bad")
        assert store.resume().id == "good"
    assert path.read_bytes() == damaged


def test_where_the_home_is(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("DICTATE_HOME", str(tmp_path / "named"))
    assert home_folder() == tmp_path / "named"
    assert home_folder(tmp_path / "chosen") == tmp_path / "chosen"
    monkeypatch.delenv("DICTATE_HOME")
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    assert home_folder() == tmp_path / "data" / "dictate"


def test_files_are_closed_to_others(tmp_path: Path) -> None:
    home = tmp_path / "new" / "home"
    with Store(home) as store:
        store.create(Chair().session)
        for path in (home, *home.rglob("*")):
            assert path.stat().st_mode & 0o077 == 0, path


def test_making_a_store_touches_nothing(tmp_path: Path) -> None:
    Store(tmp_path / "home").close()
    assert list(tmp_path.iterdir()) == []
