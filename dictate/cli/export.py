"""`dictate export`: a session as a document."""

from __future__ import annotations

import sys
from contextlib import nullcontext
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

import click

from dictate.cli import passphrases, progress
from dictate.cli.files import STDOUT, put
from dictate.cli.opening import open_store
from dictate.cli.options import home_option
from dictate.cli.output import LEAVES, note
from dictate.errors import ExportError
from dictate.exam.session import Session
from dictate.export.extras import Extras
from dictate.export.formats import WRITERS, Document
from dictate.export.letter import LetterDetails, letter_text
from dictate.export.structured import schema_json
from dictate.pipeline.clinic import gathered
from dictate.pipeline.opening import find

PDF = ("pdf", "letter")
"""Formats that are PDF: only they have a paper and can be protected."""
LETTERS = ("letter", "letter-text")
SCHEMA = "schema"
PROTECTED = "outside the program's own store: its passphrase alone protects it"


@dataclass(frozen=True, slots=True)
class _Wanted:
    form: str
    paper: str
    letter: LetterDetails


@click.command()
@click.argument("session", required=False)
@click.option(
    "--format",
    "form",
    type=click.Choice([*WRITERS, *LETTERS, SCHEMA]),
    default="text",
    show_default=True,
    help="letter: a referral as PDF; schema: what the JSON document keeps to (no SESSION).",
)
@click.option(
    "--output",
    type=click.Path(path_type=Path, dir_okay=False),
    help="File to write, which must not exist yet [default: stdout].",
)
@click.option(
    "--paper",
    type=click.Choice(["a4", "letter"]),
    default="a4",
    show_default=True,
    help="Of a PDF.",
)
@click.option("--protect", is_flag=True, help="Ask for a passphrase that the PDF opens with.")
@click.option("--to", "recipient", multiple=True, help="A line of a letter's recipient; repeat.")
@click.option("--from", "sender", multiple=True, help="A line of a letter's sender; repeat.")
@click.option(
    "--date",
    "written",
    type=click.DateTime(["%Y-%m-%d"]),
    help="Of a letter [default: left blank].",
)
@click.option("--ask", "request", default="", help="What a letter asks of its recipient.")
@click.option(
    "--finding",
    "findings",
    multiple=True,
    help="Id of a finding to refer; repeat [default: all abnormal ones].",
)
@home_option
def export(
    session: str | None,
    form: str,
    output: Path | None,
    paper: str,
    protect: bool,
    recipient: tuple[str, ...],
    sender: tuple[str, ...],
    written: datetime | None,
    request: str,
    findings: tuple[str, ...],
    home: Path | None,
) -> None:
    """Write a SESSION (an id, the start of one, or "latest") as a document."""
    day = written.date() if written else None
    details = LetterDetails(recipient, sender, day, request, findings)
    _refuse_misfits(form, protect, details, output)
    if form == SCHEMA:
        document: Document = schema_json()
    else:
        document = _made(session, _Wanted(form, paper, details), home)
    if protect:
        document = _protected(document)
    leaves = PROTECTED if protect else LEAVES
    content = document.encode() if isinstance(document, str) else document
    put(content, output or STDOUT, leaves=leaves)
    if output is None and form != SCHEMA and not sys.stdout.isatty():
        note(f"what was written is {leaves}")


def _refuse_misfits(form: str, protect: bool, details: LetterDetails, output: Path | None) -> None:
    """Options that would be ignored are refused: somebody relied on them."""
    if protect and form not in PDF:
        raise ExportError(f"Only a PDF can be protected; choose --format {' or '.join(PDF)}.")
    if details != LetterDetails() and form not in LETTERS:
        raise ExportError(
            "--to, --from, --date, --ask and --finding are for letters; choose --format letter."
        )
    if form in PDF and output is None and sys.stdout.isatty():
        raise ExportError("A PDF is no text for a screen; name a file with --output.")


def _made(session: str | None, wanted: _Wanted, home: Path | None) -> Document:
    if session is None:
        raise ExportError('A session is missing; give its id, the start of it, or "latest".')
    with open_store(home) as store:
        found = store.load(find(store, session))
        store.note("exported", session=found.id, patient=found.patient, detail=wanted.form)
        extras, problem = gathered(store, found)
    if problem:
        note(problem)
    with progress.working("drawing the pages") if wanted.form in PDF else nullcontext():
        return _document(found, extras, wanted)


def _document(session: Session, extras: Extras, wanted: _Wanted) -> Document:
    if wanted.form == "letter-text":
        return letter_text(session, wanted.letter, extras)
    if wanted.form == "letter":
        from dictate.export.pdf.letter import letter_pdf

        return letter_pdf(session, wanted.letter, extras, paper=wanted.paper)
    if wanted.form == "pdf":
        from dictate.export.pdf.summary import summary_pdf

        return summary_pdf(session, extras, paper=wanted.paper)
    return WRITERS[wanted.form](session, extras)


def _protected(document: Document) -> bytes:
    """Encrypted with a passphrase that is typed, never an argument and never shown."""
    from dictate.export.pdf.protect import protected

    if not isinstance(document, bytes):
        raise ExportError("Only a PDF can be protected.")
    return protected(document, passphrases.new("Passphrase of the PDF", passphrases.PDF))
