"""`dictate due`, `patients`, `patient` and `answer`, as a person or a program runs them."""

from __future__ import annotations

import csv
import stat
from datetime import date
from io import StringIO
from pathlib import Path

import pytest
import vobject

from dictate.exam.commands import Decide
from dictate.exam.patients import Patient
from dictate.exam.worklist import due
from dictate.export.worklist import COLUMNS, worklist_csv
from dictate.store.patients import PatientBook
from dictate.store.store import Store
from dictate.store.worklist import Worklist
from tests.cli_runner import assert_refused, dictate
from tests.visit_samples import FIRST, LATER, RULES, chair, days

TODAY = str(LATER + days(3))


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Two patients: one overdue, one whose answer is missing."""
    folder = tmp_path_factory.mktemp("clinic")
    with Store(folder) as store:
        book = PatientBook(store)
        book.register(Patient.of("P-1", "Ada Rowan", 1961))
        for name, decision in (
            ("P-1", Decide(target="f1", decision="recheck", reason="trauma likely")),
            ("P-2", Decide(target="f1", decision="refer", reason="=HYPERLINK(1)")),
        ):
            made = chair(FIRST, patient=name, followup=RULES, session=f"s-{name}")
            made.plaque(colours=(), note="near the bridge")
            made.key(decision)
            made.signed()
            store.create(made.session)
    return folder


def test_the_worklist_in_lines(home: Path) -> None:
    ran = dictate("due", "--today", TODAY, home=home)
    assert ran.code == 0
    assert ran.err == ""
    assert ran.out.splitlines() == [
        "OVERDUE",
        "  2031-03-18 (3 d late)  P-1 Ada Rowan  L1 left lateral border of the tongue: re-check",
        "    trauma likely (decided 2031-03-04 by A. Berg)",
        "",
        "AWAITING",
        "  2031-03-18 (3 d late)  P-2  L1 left lateral border of the tongue: ask after the answer "
        "(refer or evaluate further)",
        "    =HYPERLINK(1) (decided 2031-03-04 by A. Berg)",
    ]


def test_the_worklist_as_json(home: Path) -> None:
    document = dictate("due", "--today", TODAY, "--json", home=home).json
    assert document["today"] == TODAY
    first, second = document["due"]
    assert (first["status"], first["due"], first["late_days"]) == ("overdue", "2031-03-18", 3)
    assert (second["status"], second["decision"]) == ("awaiting", "refer")


def test_the_worklist_as_csv_reads_back_and_acts_on_nothing(home: Path, tmp_path: Path) -> None:
    path = tmp_path / "due.csv"
    ran = dictate("due", "--today", TODAY, "--csv", path, home=home)
    assert ran.code == 0
    rows = list(csv.DictReader(StringIO(path.read_text("utf-8"))))
    assert [row["patient"] for row in rows] == ["P-1", "P-2"]
    assert tuple(rows[0]) == COLUMNS
    assert not rows[1]["reason"].startswith("=")
    assert "HYPERLINK" in rows[1]["reason"]
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert_refused(dictate("due", "--csv", path, home=home), "exists already")


def test_the_worklist_as_a_calendar_parsed_by_another_library(home: Path) -> None:
    ran = dictate("due", "--today", TODAY, "--ics", "-", home=home)
    events = vobject.readOne(ran.out).vevent_list
    assert [each.dtstart.value for each in events] == [LATER, LATER]
    assert "Ada" not in ran.out
    assert "P-1" not in ran.out.replace("s-P-1", "")
    named = dictate("due", "--today", TODAY, "--ics", "-", "--with-patient", home=home).out
    assert "Ada Rowan" in named.replace("\r\n ", "")


def test_options_that_do_not_fit_are_refused(home: Path) -> None:
    assert_refused(dictate("due", "--csv", "-", "--json", home=home), "one of")
    assert_refused(dictate("due", "--with-patient", home=home), "--ics")
    assert_refused(dictate("due", "--today", "tomorrow", home=home), "tomorrow")
    assert_refused(dictate("patients", "--name", "Ada", home=home), "--register")


def test_nothing_is_due_in_an_empty_clinic(tmp_path: Path) -> None:
    assert dictate("due", home=tmp_path).out == "Nothing is due, and no answer is missing.\n"
    assert dictate("patients", home=tmp_path).out == "There is no such patient.\n"


def test_patients_are_listed_and_found(home: Path) -> None:
    everyone = dictate("patients", "--json", home=home).json["patients"]
    assert [each["id"] for each in everyone] == ["P-1", "P-2"]
    assert everyone[0] == {
        "id": "P-1",
        "name": "Ada Rowan",
        "birth_year": 1961,
        "visits": 1,
        "last_visit": "2031-03-04",
        "open_lesions": 1,
        "next_due": "2031-03-18",
    }
    found = dictate("patients", "rowan", home=home).out
    assert "P-1" in found
    assert "P-2" not in found
    assert dictate("patients", "--since", "2031-03-05", home=home).out.startswith("There is no")


def test_a_patients_lesions_with_their_sizes(home: Path) -> None:
    ran = dictate("patient", "p-1", home=home)
    assert ran.out.startswith("P-1 Ada Rowan, born 1961\n")
    assert "L1  left lateral border of the tongue  open, first seen 2031-03-04" in ran.out
    assert "2031-03-04  ████████████████████████  10 by 6 mm" in ran.out
    assert "re-check on 18 March 2031: trauma likely (A. Berg)" in ran.out
    document = dictate("patient", "P-1", "--json", home=home).json
    assert document["lesions"][0]["id"] == "s-P-1/f1"
    assert_refused(dictate("patient", "P-9", home=home), "no patient P-9")


def test_registering_a_patient(tmp_path: Path) -> None:
    done = dictate(
        "patients", "--register", "Q-1", "--name", "Bo Fern", "--born", "1990", home=tmp_path
    )
    assert done.out == "Kept: Q-1 Bo Fern, born 1990\n"
    assert_refused(
        dictate("patients", "--register", "Q-1", "--born", "90", home=tmp_path), "year of birth"
    )


def test_an_answer_takes_the_patient_off_the_waiting_list(home: Path, tmp_path: Path) -> None:
    folder = tmp_path / "copy"
    folder.mkdir()
    for name in ("records.db", "store.key"):
        (folder / name).write_bytes((home / name).read_bytes())
    wrong = dictate("answer", "P-1", "L1", "fine", "--by", "A. Berg", home=folder)
    assert_refused(wrong, "No answer is awaited")
    assert_refused(dictate("answer", "P-2", "L7", "x", "--by", "B", home=folder), "L7", "L1")
    given = ("answer", "P-2", "l1", "No dysplasia", "--by", "A. Berg")
    assert_refused(dictate(*given, "--on", "2031-03-03", home=folder), "before the answer was")
    assert_refused(dictate(*given, "--on", "2099-01-01", home=folder), "lies ahead")
    done = dictate(
        *given,
        *("--on", "2031-03-04", "--recheck", "2031-09-20"),
        home=folder,
    )
    assert done.code == 0, done.err
    assert "version 2" in done.out
    with Store(folder) as store:
        row = next(r for r in Worklist(store).due(LATER + days(3)) if r.patient == "P-2")
    assert (row.status, row.due) == ("later", date(2031, 9, 20))
    assert "answer of 2031-03-04: No dysplasia" in dictate("patient", "P-2", home=folder).out


def test_control_characters_of_a_record_never_reach_the_terminal(tmp_path: Path) -> None:
    with Store(tmp_path) as store:
        made = chair(followup=RULES)
        made.plaque(colours=())
        made.key(Decide(target="f1", decision="recheck", reason="\x1b[2Jgone \u202eright"))
        made.signed()
        store.create(made.session)
        rows = Worklist(store).due(LATER)
    for arguments in (("due", "--today", str(LATER)), ("patient", "P-17")):
        out = dictate(*arguments, home=tmp_path).out
        assert "gone" in out
        assert "\x1b" not in out
        assert "\u202e" not in out
    assert worklist_csv(due((), LATER)).strip() == ",".join(COLUMNS)
    assert len(worklist_csv(rows).splitlines()) == 2
