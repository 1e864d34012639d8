"""Named users on the command line: who may sign, and what the audit trail says of them."""

from __future__ import annotations

import sqlite3
from contextlib import closing, redirect_stderr, redirect_stdout
from io import BytesIO, StringIO, TextIOWrapper
from pathlib import Path

import pytest

from dictate.cli import main
from dictate.store.store import Store
from tests.cli_runner import Ran, assert_refused
from tests.exam_samples import Chair
from tests.store_script import run


def dictate(*arguments: str, home: Path) -> Ran:
    """As a person runs it, within this process: a start of Python for each would take long."""
    out, err, code = TextIOWrapper(BytesIO()), StringIO(), 0
    with (
        pytest.MonkeyPatch.context() as patch,
        redirect_stdout(out),
        redirect_stderr(err),
    ):
        patch.setenv("DICTATE_HOME", str(home))
        try:
            main(arguments)
        except SystemExit as left:
            code = int(left.code or 0)
    out.seek(0)
    return Ran(code, out.read(), err.getvalue())


@pytest.fixture
def home(tmp_path: Path) -> Path:
    """With a signed session."""
    with Store(tmp_path) as store:
        run(store)
    return tmp_path


def add(home: Path, name: str, role: str, *more: str) -> Ran:
    return dictate("people", "add", name, "--role", role, *more, home=home)


def test_until_an_examiner_is_registered_all_is_as_before(home: Path) -> None:
    ran = dictate("list", home=home)
    assert ran.code == 0
    assert "anyone can sign" in ran.err
    assert dictate("show", "s1", home=home).code == 0
    assert add(home, "E. Fell", "assistant").code == 0
    assert "anyone can sign" in dictate("people", "list", home=home).err
    assert dictate("export", "s1", "--as", "whoever", home=home).code == 0


def test_once_one_is_registered_everybody_has_a_name(home: Path) -> None:
    assert add(home, "A. Berg", "examiner").out == "A. Berg is registered as examiner.\n"
    assert_refused(dictate("show", "s1", home=home), "--as NAME")
    assert_refused(dictate("show", "s1", "--as", "X. Y.", home=home), "Nobody called X. Y.")
    assert dictate("show", "s1", "--as", "a. berg", home=home).code == 0
    assert "anyone can sign" not in dictate("list", home=home).err
    assert_refused(add(home, "E. Fell", "assistant"), "--as NAME")
    assert add(home, "E. Fell", "assistant", "--as", "A. Berg").code == 0
    assert_refused(add(home, "G. Ho", "examiner", "--as", "E. Fell"), "only an examiner")
    assert_refused(add(home, "a. BERG", "assistant", "--as", "A. Berg"), "registered already")
    assert dictate("people", "retire", "E. Fell", "--as", "A. Berg", home=home).code == 0
    assert_refused(dictate("show", "s1", "--as", "E. Fell", home=home), "has retired")
    listed = dictate("people", "list", home=home).out
    assert listed == "A. Berg  examiner\nE. Fell  assistant retired\n"


@pytest.mark.parametrize("name", ["voice", "Keyboard", ""])
def test_a_name_that_cannot_be_is_refused(home: Path, name: str) -> None:
    assert_refused(add(home, name, "examiner"))


def test_only_an_examiner_signs_and_with_the_own_name(tmp_path: Path) -> None:
    for name, role in (("E. Fell", "assistant"), ("C. Dahl", "examiner"), ("A. Berg", "examiner")):
        more = ("--as", "C. Dahl") if name == "A. Berg" else ()
        assert add(tmp_path, name, role, *more).code == 0
    with Store(tmp_path) as store:
        chair = Chair()
        chair.plaque()
        chair.confirm_all()
        store.create(chair.session)
    assistant = dictate("review", "s1", "--as", "E. Fell", "--examiner", "C. Dahl", home=tmp_path)
    assert assistant.code == 2
    assert "E. Fell is an assistant, and only an examiner signs" in assistant.err
    other = dictate("review", "s1", "--as", "A. Berg", "--examiner", "C. Dahl", home=tmp_path)
    assert other.code == 2
    assert "sign with that name" in other.err
    with Store(tmp_path) as store:
        assert not store.load("s1").is_final
    done = dictate("review", "s1", "--as", "a. berg", "--assistant", "E. Fell", home=tmp_path)
    assert done.code == 0, done
    with Store(tmp_path) as store:
        signed = store.load("s1")
    assert signed.examiner == "A. Berg"
    assert signed.events[-1].actor == "E. Fell"
    assert signed.events[-1].via == "keyboard"


def test_the_trail_tells_who_did_what_and_verifies(home: Path) -> None:
    add(home, "A. Berg", "examiner")
    assert dictate("export", "s1", "--as", "A. Berg", home=home).code == 0
    for command in (("patients",), ("list",), ("report", "--kind", "sites"), ("due",)):
        assert dictate(*command, "--as", "A. Berg", home=home).code == 0
    told = dictate("audit", home=home).out
    for line in (
        '[voice]  dictated "a plaque"  s1',
        "[keyboard]  corrected f1 side: not said -> left  s1",
        "[keyboard]  signed as A. Berg  s1",
        "person added A. Berg (examiner)",
        "A. Berg  exported text  s1",
        "A. Berg  listed patients",
        "A. Berg  listed sessions",
        "A. Berg  listed worklist",
        "A. Berg  exported report of sites",
    ):
        assert line in told, told
    assert "signed" not in dictate("audit", "--since", "2040-01-01", home=home).out
    fine = dictate("audit", "--verify", home=home)
    assert (fine.code, fine.err) == (0, "")
    assert fine.out.endswith("entries verified\n")
    with closing(sqlite3.connect(home / "records.db")) as database:
        database.execute("DROP TRIGGER trail_stays")
        database.execute("DELETE FROM trail WHERE seq = (SELECT max(seq) FROM trail)")
        database.commit()
    wrong = dictate("audit", "--verify", home=home)
    assert wrong.code == 1
    assert wrong.out.splitlines()[0] == "The guard trail_stays is missing in the database."
    assert "end of the audit trail is missing" in wrong.out
