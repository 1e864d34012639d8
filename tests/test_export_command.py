"""`dictate export`: each format from the command line, and what is refused."""

from __future__ import annotations

import json
import stat
from io import BytesIO
from pathlib import Path

import pytest
from click.testing import CliRunner
from pypdf import PasswordType, PdfReader

from dictate.cli import passphrases
from dictate.cli.export import export
from dictate.exam.session import Session
from dictate.export.formats import BY_ENDING, WRITERS
from dictate.store.store import Store
from tests.cli_runner import assert_refused, dictate
from tests.export_samples import dictated, signed


def keep(home: Path, session: Session) -> None:
    with Store(home) as store:
        store.create(session)


@pytest.fixture(scope="module")
def homes(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """A home with a signed session, and one with a draft."""
    final, draft = (tmp_path_factory.mktemp(name) for name in ("final", "draft"))
    keep(final, signed().session)
    keep(draft, dictated().session)
    return final, draft


def made(home: Path, *arguments: str, answers: str = "") -> bytes:
    """What the command writes to stdout, run in this process for speed."""
    done = CliRunner().invoke(
        export, ["latest", *arguments, "--home", str(home)], input=answers, catch_exceptions=False
    )
    assert done.exit_code == 0, done.output
    return done.stdout_bytes


@pytest.mark.parametrize("name", sorted(WRITERS))
def test_each_format_is_written(homes: tuple[Path, Path], name: str) -> None:
    assert made(homes[0], "--format", name)
    if name != "ics":
        assert made(homes[1], "--format", name)


def test_the_endings_of_files_are_all_different() -> None:
    assert {each.ending for each in WRITERS.values()} <= set(BY_ENDING)
    assert {"txt", "md", "pdf", "json", "fhir", "ics", "letter.pdf", "letter.txt"} == set(BY_ENDING)
    assert all(ending == each.ending for ending, each in BY_ENDING.items())


def test_the_schema_needs_no_session(tmp_path: Path) -> None:
    ran = dictate("export", "--format", "schema", home=tmp_path)
    assert ran.code == 0
    assert "findings" in ran.json["properties"]
    assert list(tmp_path.iterdir()) == []


def test_a_pdf_goes_to_a_file_of_its_owner_alone(homes: tuple[Path, Path], tmp_path: Path) -> None:
    target = tmp_path / "summary.pdf"
    ran = dictate(
        "export", "latest", "--format", "pdf", "--output", target, "--paper", "letter",
        home=homes[0],
    )  # fmt: skip
    assert ran.code == 0
    assert "outside the program's own store" in ran.err
    assert stat.S_IMODE(target.stat().st_mode) == 0o600
    page = PdfReader(target).pages[0]
    assert (page.mediabox.width, page.mediabox.height) == (612, 792)
    assert_refused(
        dictate("export", "latest", "--format", "pdf", "--output", target, home=homes[0]),
        "exists already",
    )


def test_a_letter_takes_its_lines_from_the_command(homes: tuple[Path, Path]) -> None:
    arguments = (
        *("--to", "Harbour Hospital", "--to", "Lighthouse Road 4", "--from", "Quay Clinic"),
        *("--date", "2031-03-05", "--ask", "please see soon", "--finding", "f1"),
    )
    told = made(homes[0], "--format", "letter-text", *arguments).decode()
    for words in ("Lighthouse Road 4", "Quay Clinic", "2031-03-05", "Please see soon.", "plaque"):
        assert words in told
    printed = PdfReader(BytesIO(made(homes[0], "--format", "letter", *arguments)))
    assert "Lighthouse Road 4" in printed.pages[0].extract_text()


def test_a_pdf_can_be_protected_by_a_typed_passphrase(
    homes: tuple[Path, Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(passphrases, "has_terminal", lambda: True)
    answers = "quay lantern 7\nquay lantern 7\n"
    content = made(homes[0], "--format", "pdf", "--protect", answers=answers)
    content = content[content.index(b"%PDF") :]
    assert b"quay" not in content
    reader = PdfReader(BytesIO(content))
    assert reader.decrypt("quay lantern 7") != PasswordType.NOT_DECRYPTED


def test_a_pdf_is_protected_without_a_terminal_by_a_passphrase_in_a_closed_file(
    homes: tuple[Path, Path], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    named = tmp_path / "passphrase"
    named.write_text("quay lantern 7\n")
    monkeypatch.setenv(passphrases.PDF, str(named))
    asked = ("export", "latest", "--format", "pdf", "--protect", "--output", tmp_path / "s.pdf")
    named.chmod(0o640)
    assert_refused(dictate(*asked, home=homes[0]), "Others can read")
    named.chmod(0o600)
    assert dictate(*asked, home=homes[0]).code == 0
    reader = PdfReader(tmp_path / "s.pdf")
    assert reader.decrypt("another lantern") == PasswordType.NOT_DECRYPTED
    assert reader.decrypt("quay lantern 7") != PasswordType.NOT_DECRYPTED
    monkeypatch.delenv(passphrases.PDF)
    refused = ("export", "latest", "--format", "pdf", "--protect", "--output", tmp_path / "t.pdf")
    assert_refused(dictate(*refused, home=homes[0]), "nobody can be asked", passphrases.PDF)


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["latest", "--format", "text", "--protect"], ["Only a PDF"]),
        (["latest", "--format", "pdf", "--to", "x"], ["are for letters"]),
        (["latest", "--format", "letter", "--finding", "f9"], ["no finding f9"]),
        (["--format", "pdf"], ["session is missing"]),
        (["latest", "--format", "docx"], ["docx"]),
        (["latest", "--date", "tomorrow"], ["tomorrow"]),
    ],
)
def test_what_does_not_fit_is_refused_on_one_line(
    homes: tuple[Path, Path], arguments: list[str], words: list[str]
) -> None:
    assert_refused(dictate("export", *arguments, home=homes[0]), *words)


@pytest.mark.parametrize("form", ["letter-text", "ics"])
def test_a_draft_makes_neither_letter_nor_calendar(homes: tuple[Path, Path], form: str) -> None:
    ran = dictate("export", "latest", "--format", form, home=homes[1])
    assert_refused(ran, "needs a signed session")


def test_json_is_the_only_thing_on_stdout(homes: tuple[Path, Path]) -> None:
    assert json.loads(made(homes[0], "--format", "fhir"))["type"] == "document"
    assert json.loads(made(homes[0], "--format", "json"))["state"] == "final"
