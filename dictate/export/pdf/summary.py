"""The PDF summary of a session: findings, drawings, sizes, coverage, decisions, signature."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from reportlab.platypus import Flowable, KeepTogether, PageBreak, Spacer

from dictate.exam.readback import and_words, duration_words, number
from dictate.exam.record import Record
from dictate.export.chart import CAUTIONS, DRAFT, TITLE, Chart, Entry
from dictate.export.extras import NOTHING, Extras
from dictate.export.note import (
    aside_lines,
    decision_lines,
    earlier_lines,
    head,
    prompts,
    recheck_lines,
    sections,
    size_lines,
)
from dictate.export.pdf import look
from dictate.export.pdf.atlas import Atlas, placed
from dictate.export.pdf.fonts import drawable
from dictate.export.pdf.grid import Cell, grid, inner
from dictate.export.pdf.page import Sheet, make
from dictate.export.pdf.patient_page import patient_page
from dictate.export.pdf.plot import SizePlot
from dictate.export.pdf.prose import Run, heading, paragraph
from dictate.export.pdf.signing import signature_block

COLUMNS = ("No.", "Where", "What", "Size, mm", "Present")
LEGEND = (
    "Numbers are those of the findings. A line leads from a number that had to make room to its"
    " place. Places show the named part, not the exact spot."
)
UNCERTAIN = (
    "A dashed number with a question mark: side, jaw or part was not said, and each place that"
    " it may be carries the number."
)

UNPRINTED = (
    "A character that these letters lack, or that cannot be seen, is printed as its Unicode"
    " number, such as [U+5F20]."
)


def summary_pdf(session: Record, extras: Extras = NOTHING, *, paper: str = "a4") -> bytes:
    """The whole summary, the patient's page last. Raises ExportError for an unknown paper."""
    chart = Chart(session, extras)
    sheet = sheet_of(chart, TITLE, paper)
    story = [
        *_head(chart, sheet),
        *_findings(chart, sheet.width),
        *_prompts(chart, sheet.width),
        *_lines("Decisions", decision_lines(chart), sheet),
        *_lines("Re-checks", recheck_lines(chart), sheet),
        *_sizes(chart, sheet.width),
        *_coverage(chart, sheet.width),
        *_lines("Put aside", aside_lines(chart), sheet),
        *_lines("Amendments", chart.amendments, sheet),
        *_closing(chart, sheet.width),
        *_drawings(chart, sheet),
        PageBreak(),
        *patient_page(chart, sheet.width),
    ]
    return make(sheet, story)


def sheet_of(chart: Chart, title: str, paper: str) -> Sheet:
    """Pages that say at their foot which session, whose and of what standing they are."""
    who = chart.patient
    standing = "draft" if chart.is_draft else f"version {chart.session.version}"
    known = [f"session {chart.session.id}", standing, who.identifier, who.name]
    foot = "  ·  ".join(filter(None, known))
    return Sheet(title, foot, chart.is_draft, paper)


def _head(chart: Chart, sheet: Sheet) -> Iterator[Flowable]:
    yield paragraph(look.TITLE, sheet.width, TITLE)
    if chart.is_draft:
        yield paragraph(look.ALARM, sheet.width, DRAFT)
    yield Spacer(1, 6)
    half = sheet.width / 2
    pairs = [*head(chart), ("Standing", chart.signature)]
    cells: list[Cell] = [
        [paragraph(look.BODY, inner(half), Run(f"{label}: ", bold=True), value)]
        for label, value in pairs
    ]
    yield grid([half, half], list(_in_pairs(cells)))
    yield from _pairs("Risk history", [(r.topic, r.words) for r in chart.extras.risks], sheet)
    yield from _lines("Lesions of earlier visits", earlier_lines(chart), sheet)


def _findings(chart: Chart, width: float) -> Iterator[Flowable]:
    yield from heading(look.HEADING, width, "Findings")
    if not chart.entries:
        yield paragraph(look.BODY, width, "No finding was recorded.")
        return
    widths = [28.0, 128.0, width - 28 - 128 - 58 - 62, 58.0, 62.0]
    rows = [_row(chart, each, widths) for each in chart.entries]
    yield grid(widths, rows, COLUMNS)


def _row(chart: Chart, entry: Entry, widths: Sequence[float]) -> list[Cell]:
    size = " × ".join(number(each) for each in entry.finding.size_mm)
    told = look.BODY if size else look.PALE
    where: Cell = [paragraph(look.BODY, inner(widths[1]), Run(entry.place, bold=True))]
    if entry.high_risk:
        where.append(paragraph(look.PALE, inner(widths[1]), "site of higher risk"))
    what: Cell = [paragraph(look.BODY, inner(widths[2]), entry.description)]
    what += [
        paragraph(look.ALARM, inner(widths[2]), f"TO CONFIRM: {doubt}") for doubt in entry.doubts
    ]
    number_now = paragraph(look.NUMBER, inner(widths[0]), str(entry.number))
    measured = paragraph(told, inner(widths[3]), size or "not said")
    return [[number_now], where, what, [measured], _present(chart, entry, inner(widths[4]))]


def _present(chart: Chart, entry: Entry, width: float) -> Cell:
    """How long, and since when it is known, which may be later than it came."""
    days, first_seen = chart.present_days(entry), chart.first_seen(entry.finding.id)
    words = "not said" if days is None else duration_words(days)
    cell: Cell = [paragraph(look.PALE if days is None else look.BODY, width, words)]
    if first_seen is not None:
        cell.append(paragraph(look.PALE, width, f"first seen {first_seen}"))
    return cell


def _prompts(chart: Chart, width: float) -> Iterator[Flowable]:
    """Each rule with the number of its source; the sources in small print below."""
    told = list(prompts(chart))
    if not told:
        return
    yield from heading(look.HEADING, width, "Prompts (published rules that findings meet)")
    sources = list(dict.fromkeys(each.source for each, _ in told))
    for each, words in told:
        style = look.ALARM if each.urgent else look.BODY
        yield paragraph(style, width, f"{words} [{sources.index(each.source) + 1}]")
    yield Spacer(1, 3)
    for count, source in enumerate(sources, 1):
        yield paragraph(look.PALE, width, f"[{count}] {source}")


def _drawings(chart: Chart, sheet: Sheet) -> Iterator[Flowable]:
    if not chart.entries:
        return
    yield PageBreak()
    marks, nowhere, uncertain = placed(chart)
    notes = [LEGEND]
    if uncertain:
        notes.append(UNCERTAIN)
    if nowhere:
        which = and_words(map(str, nowhere))
        notes.append(f"Without a place on the drawings: {which}; see the table.")
    title = paragraph(look.HEADING, sheet.width, "Where the findings are")
    below = [paragraph(look.PALE, sheet.width, each) for each in notes]
    taken = sum(each.wrap(sheet.width, sheet.height)[1] for each in (title, *below))
    yield title
    yield Atlas(marks, sheet.width, sheet.height - taken - 24)
    yield Spacer(1, 4)
    yield from below


def _sizes(chart: Chart, width: float) -> Iterator[Flowable]:
    measured = [(entry, chart.extras.sizes.get(entry.finding.id, ())) for entry in chart.entries]
    several = [(entry, points) for entry, points in measured if len(points) > 1]
    if not several:
        return
    yield from heading(look.HEADING, width, "Sizes over time")
    plots: list[Cell] = [
        [SizePlot(f"Finding {entry.number}: {entry.place}", points, inner(width / 2))]
        for entry, points in several
    ]
    yield grid([width / 2, width / 2], list(_in_pairs(plots)))
    for line in size_lines(chart):
        yield paragraph(look.SMALL, width, line)


def _coverage(chart: Chart, width: float) -> Iterator[Flowable]:
    title = paragraph(look.HEADING, width, "Regions examined")
    widths = [width * 0.2, width * 0.3] * 2
    told = [
        [
            [paragraph(look.SMALL, inner(widths[0]), Run(each.region, bold=True))],
            [paragraph(look.SMALL, inner(widths[1]), words)],
        ]
        for each, words in chart.coverage
    ]
    half = (len(told) + 1) // 2
    empty: list[Cell] = [[], []]
    rows = [
        [*told[index], *(told[index + half] if index + half < len(told) else empty)]
        for index in range(half)
    ]
    if rows:
        yield KeepTogether([title, grid(widths, rows)])


def _closing(chart: Chart, width: float) -> Iterator[Flowable]:
    block: list[Flowable] = [Spacer(1, 10)]
    notes = [*CAUTIONS, UNPRINTED] if _has_unprinted(chart) else CAUTIONS
    block += [paragraph(look.PALE, width, each) for each in notes]
    block += [Spacer(1, 8), signature_block(chart, width)]
    yield KeepTogether(block)


def _has_unprinted(chart: Chart) -> bool:
    texts = [text for each in sections(chart) for text in (*each.lines, *sum(each.pairs, ()))]
    texts += [text for _, text in head(chart)]
    return any(drawable(text) != text and "[U+" in drawable(text) for text in texts)


def _lines(name: str, lines: Iterator[str] | Sequence[str], sheet: Sheet) -> Iterator[Flowable]:
    told = list(lines)
    if told:
        yield from heading(look.HEADING, sheet.width, name)
    for line in told:
        yield paragraph(look.BODY, sheet.width, line)


def _pairs(name: str, pairs: Sequence[tuple[str, str]], sheet: Sheet) -> Iterator[Flowable]:
    if pairs:
        yield from heading(look.HEADING, sheet.width, name)
    for label, text in pairs:
        yield paragraph(look.BODY, sheet.width, Run(f"{label}: ", bold=True), text)


def _in_pairs(cells: Sequence[Cell]) -> Iterator[list[Cell]]:
    for index in range(0, len(cells), 2):
        yield [cells[index], cells[index + 1] if index + 1 < len(cells) else []]
