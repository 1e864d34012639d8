"""All of one patient is handed over, and deleted to the last byte; nobody else's is touched."""

from __future__ import annotations

import csv
import json
import sqlite3
import stat
from contextlib import closing
from io import StringIO
from pathlib import Path

import pytest

from dictate.errors import StoreError
from dictate.exam.patients import Patient
from dictate.store.erasure import erase, erasures
from dictate.store.patients import PatientBook
from dictate.store.people import People
from dictate.store.store import Store
from dictate.store.worklist import Worklist
from tests.cli_inside import inside
from tests.cli_runner import assert_refused, dictate
from tests.exam_samples import START
from tests.killing import KILLED, killed_at
from tests.old_stores import old_home
from tests.terminal import on_terminal
from tests.test_store_worklist import visit
from tests.visit_samples import LATER, chair


@pytest.fixture
def home(tmp_path: Path) -> Path:
    """Two patients, each with signed sessions and a draft."""
    folder = tmp_path / "home"
    with Store(folder) as store:
        for patient in ("P-17", "P-18"):
            visit(store, patient=patient, session=f"one-{patient}")
            visit(store, LATER, patient=patient, session=f"two-{patient}")
            draft = chair(LATER, patient=patient, session=f"draft-{patient}")
            store.create(draft.session)
            store.append(draft.session.id, draft.plaque().events)
            PatientBook(store).register(Patient.of(patient, f"Quillfeather {patient}", 1961))
            Worklist(store).visits()
    return folder


PIECE = 40


def sealed_pieces(home: Path, patient: str) -> set[bytes]:
    """Everything sealed that the home holds of a patient, in pieces: long ones go over pages."""
    cells: set[str] = set()
    with Store(home) as store:
        sealer = store.unlocked()
    with closing(sqlite3.connect(home / "records.db")) as database:
        for table, column in (("events", "event"), ("events", "actor"), ("visits", "visit")):
            query = f"SELECT {column} FROM {table} WHERE session_id LIKE ?"
            cells |= {each for (each,) in database.execute(query, (f"%{patient}",))}
        query = "SELECT about FROM patients WHERE id = ?"
        key = sealer.seal_alike(patient, "patients.id")
        cells |= {each for (each,) in database.execute(query, (key,))} | {key}
        cells |= {sealer.seal_alike(patient, f"{each}.patient") for each in ("sessions", "visits")}
    journal = home / "drafts" / f"draft-{patient}.jsonl"
    cells |= {line.split(b" ")[2].decode() for line in journal.read_bytes().splitlines()}
    return {
        each[start : start + PIECE].encode()
        for each in cells
        for start in range(0, max(1, len(each) - PIECE + 1), PIECE)
    }


def bytes_of(home: Path) -> bytes:
    return b"\n".join(path.read_bytes() for path in home.rglob("*") if path.is_file())


def test_not_even_what_was_sealed_of_the_patient_is_left(home: Path) -> None:
    mine, others = sealed_pieces(home, "P-17"), sealed_pieces(home, "P-18")
    before = bytes_of(home)
    for pieces in (mine, others):
        assert sum(each in before for each in pieces) > 0.9 * len(pieces) > 500
    with Store(home) as store:
        done = erase(store, "P-17", by="A. Berg", at=START)
        assert (done.erasure.sessions, done.notes) == (3, ())
    after = bytes_of(home)
    assert [each for each in mine if each in after] == []
    assert sum(each in after for each in others) > 0.9 * len(others)
    assert not [x for x in ("one", "two", "draft") if f"{x}-P-17".encode() in after]
    with Store(home) as store:
        assert {each.patient for each in store.list()} == {"P-18"}
        assert [each.id for each in PatientBook(store).all()] == ["P-18"]
        assert {each.patient for each in Worklist(store).visits()} == {"P-18"}
        assert all(store.load(each.id).patient == "P-18" for each in store.list())
    assert not [each for each in (home / "drafts").iterdir() if "P-17" in each.name]


def test_it_stays_told_that_it_was_done_and_not_whose_it_was(home: Path) -> None:
    with Store(home) as store:
        erase(store, "P-17", by="A. Berg", at=START)
        erase(store, "P-18", by="C. Dahl", at=START)
        assert [(each.by, each.sessions, each.at) for each in erasures(store)] == [
            ("A. Berg", 3, START),
            ("C. Dahl", 3, START),
        ]
    assert b"A. Berg" not in bytes_of(home)
    with closing(sqlite3.connect(home / "records.db")) as database:
        for statement in ("DELETE FROM erasures", "UPDATE erasures SET hash = 'x'"):
            with pytest.raises(sqlite3.IntegrityError, match="stays told"):
                database.execute(statement)
        database.execute("DROP TRIGGER erasures_stay")
        database.execute("DELETE FROM erasures WHERE id = 1")
        database.commit()
    with Store(home) as store, pytest.raises(StoreError, match="erasures has been altered"):
        erasures(store)


def test_the_guards_stand_again_afterwards(home: Path) -> None:
    with Store(home) as store:
        erase(store, "P-17", by="A. Berg", at=START)
        with pytest.raises(StoreError, match="is final and is kept"):
            store.discard("one-P-18")
    with closing(sqlite3.connect(home / "records.db")) as database:
        for statement in ("DELETE FROM events", "UPDATE events SET seq = 9"):
            with pytest.raises(sqlite3.IntegrityError):
                database.execute(statement)


def test_a_draft_open_elsewhere_is_told(home: Path) -> None:
    with Store(home) as chairside, Store(home) as store:
        chairside.resume("draft-P-17")
        with pytest.raises(StoreError, match="open in another program"):
            erase(store, "P-17", by="A. Berg", at=START)
        assert len([each for each in store.list() if each.patient == "P-17"]) == 3
        assert erasures(store) == ()


def test_a_damaged_draft_of_the_patient_goes_too(home: Path) -> None:
    path = home / "drafts" / "draft-P-17.jsonl"
    path.write_bytes(path.read_bytes()[:100] + b"\n" + path.read_bytes()[101:])
    with Store(home) as store:
        erase(store, "P-17", by="A. Berg", at=START)
    assert not path.exists()


def test_copies_from_before_an_update_go_with_the_patient(tmp_path: Path) -> None:
    home = old_home(tmp_path / "home", 2)
    with Store(home) as store:
        done = erase(store, "P-17", by="A. Berg", at=START)
    assert done.erasure.sessions > 0
    assert "1 copies from before an update were deleted" in done.notes[0]
    assert list((home / "before_migration").iterdir()) == []


def test_killed_anywhere_the_same_command_goes_on(home: Path, tmp_path: Path) -> None:
    def act() -> None:
        with Store(home) as store:
            if any(each.patient == "P-17" for each in store.list()):
                erase(store, "P-17", by="A. Berg", at=START)

    kills = 0
    for point in range(1, 200, 3):
        status = killed_at(point, act)
        assert status in (0, KILLED)
        with Store(home) as store:
            assert len([each for each in store.list() if each.patient == "P-18"]) == 3
            assert store.load("one-P-18").is_final
            left = [each for each in store.list() if each.patient == "P-17"]
            assert bool(left) != bool(erasures(store))
        kills += status == KILLED
        if status == 0:
            break
    assert kills > 2
    assert left == []


# The commands


def test_handing_over_is_everything_and_readable(home: Path, tmp_path: Path) -> None:
    ran = inside("hand-over", "p-17", "--to", tmp_path / "out", home=home)
    assert ran.code == 0, ran.err
    assert "outside the program's own store" in ran.err
    names = {path.name for path in (tmp_path / "out").iterdir()}
    sessions = ("one-P-17", "two-P-17", "draft-P-17")
    assert names == {"patient.json", "decisions.csv"} | {
        f"{name}.{ending}" for name in sessions for ending in ("json", "txt", "pdf")
    }
    told = json.loads((tmp_path / "out" / "patient.json").read_text())
    assert told == {"id": "P-17", "name": "Quillfeather P-17", "birth_year": 1961}
    assert json.loads((tmp_path / "out" / "one-P-17.json").read_text())["state"] == "final"
    assert "plaque" in (tmp_path / "out" / "two-P-17.txt").read_text()
    rows = list(csv.DictReader(StringIO((tmp_path / "out" / "decisions.csv").read_text())))
    assert {row["session"] for row in rows} == {"one-P-17", "two-P-17"}
    assert stat.S_IMODE((tmp_path / "out").stat().st_mode) == 0o700
    assert {stat.S_IMODE(path.stat().st_mode) for path in (tmp_path / "out").iterdir()} == {0o600}
    assert b"P-18" not in bytes_of(tmp_path / "out")
    again = inside("hand-over", "P-17", "--to", tmp_path / "out", home=home)
    assert_refused(again, "exists already")


def test_erasing_wants_the_identifier_twice(home: Path) -> None:
    asked = ("erase", "P-17", "--by", "A. Berg")
    assert_refused(inside(*asked, home=home), "Nobody can be asked", "--yes-erase")
    assert_refused(inside(*asked, "--yes-erase", "p-17", home=home), "nothing was erased")
    with Store(home) as store:
        assert len(store.list()) == 6
    ran = inside(*asked, "--yes-erase", "P-17", home=home)
    assert ran.code == 0, ran.err
    assert ran.out == "Erased: 3 sessions and the patient's entry.\n"
    assert "backups made before" in ran.err
    assert_refused(inside(*asked, "--yes-erase", "P-17", home=home), "no patient P-17")


def test_only_an_examiner_erases_once_there_are_some(home: Path) -> None:
    with Store(home) as store:
        people = People(store.database())
        people.add("A. Berg", "examiner")
        people.add("E. Fell", "assistant")
    asked = ("erase", "P-17", "--yes-erase", "P-17")
    assert_refused(inside(*asked, home=home), "Say who you are")
    assert_refused(inside(*asked, "--by", "E. Fell", home=home), "only an examiner erases")
    assert_refused(inside(*asked, "--by", "N. O'Body", home=home), "Nobody called")
    with Store(home) as store:
        assert len(store.list()) == 6
    assert inside(*asked, "--as", "a. berg", home=home).code == 0
    with Store(home) as store:
        assert [each.by for each in erasures(store)] == ["A. Berg"]


def test_nobody_erases_unnamed(home: Path) -> None:
    asked = ("erase", "P-17", "--yes-erase", "P-17")
    assert_refused(inside(*asked, home=home), "--by NAME")


def test_the_identifier_need_not_stand_in_the_list_of_processes(home: Path) -> None:
    """Each "-" is a line of standard input where that is no terminal."""
    ran = dictate("patient", "-", "--json", home=home, answers="P-17\n")
    assert ran.json["patient"]["id"] == "P-17"
    ran = dictate("patients", "--register", "-", "--name", "-", home=home, answers="P-9\nBo Fern\n")
    assert ran.out == "Kept: P-9 Bo Fern\n"
    erase_it = ("erase", "-", "--by", "A. Berg", "--yes-erase", "-")
    assert_refused(dictate(*erase_it, home=home, answers="P-17\nP-18\n"), "nothing was erased")
    assert_refused(dictate(*erase_it, home=home, answers="P-17\n"), "standard input is missing")
    assert dictate(*erase_it, home=home, answers="P-17\nP-17\n").code == 0


def test_on_a_terminal_the_identifier_is_asked_for(home: Path) -> None:
    seen: list[bytes] = []

    def look(child: int) -> None:
        seen.append(Path(f"/proc/{child}/cmdline").read_bytes())

    shown = on_terminal("patient", "-", typed=("P-17",), home=home, look=look)
    assert shown.code == 0
    assert "Quillfeather P-17" in shown.text
    assert b"P-17" not in seen[0]
