"""The referral letter as PDF."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from reportlab.platypus import Flowable, KeepTogether, Spacer

from dictate.exam.record import Record
from dictate.export.chart import Chart
from dictate.export.extras import NOTHING, Extras
from dictate.export.letter import OTHERS, Letter, LetterDetails, letter
from dictate.export.pdf import look
from dictate.export.pdf.page import Sheet, make
from dictate.export.pdf.prose import Run, heading, paragraph
from dictate.export.pdf.signing import signature_block

TITLE = "Referral"


def letter_pdf(
    session: Record, details: LetterDetails, extras: Extras = NOTHING, *, paper: str = "a4"
) -> bytes:
    """The letter of a signed session. Raises ExportError as `letter` does."""
    chart = Chart(session, extras)
    made = letter(session, details, extras)
    sheet = Sheet(TITLE, f"session {session.id}", paper=paper)
    return make(sheet, list(_story(made, chart, sheet.width)))


def _story(made: Letter, chart: Chart, width: float) -> Iterator[Flowable]:
    yield paragraph(look.TITLE, width, TITLE)
    yield Spacer(1, 10)
    yield from _block("From", made.sender, width)
    yield from _block("To", made.recipient, width)
    yield from _block("Date", [made.written], width)
    yield from _block("About", [f"{label}: {value}" for label, value in made.subject], width)
    yield Spacer(1, 8)
    for each in made.opening:
        yield paragraph(look.LETTER, width, each)
    yield from heading(look.HEADING, width, "Findings")
    for each in made.findings:
        yield paragraph(look.LETTER, width, each)
    if made.others:
        yield from heading(look.HEADING, width, OTHERS)
    for each in made.others:
        yield paragraph(look.LETTER, width, each)
    if made.history:
        yield from heading(look.HEADING, width, "Background")
    for each in made.history:
        yield paragraph(look.BODY, width, each)
        yield Spacer(1, 2)
    ending = [paragraph(look.LETTER, width, each) for each in made.closing]
    yield KeepTogether([Spacer(1, 4), *ending, Spacer(1, 4), signature_block(chart, width)])


def _block(label: str, lines: Iterable[str], width: float) -> Iterator[Flowable]:
    for index, line in enumerate(lines):
        head = Run(f"{label}  ", bold=True)
        yield paragraph(look.BODY, width, *((head, line) if index == 0 else (line,)))
    yield Spacer(1, 5)
