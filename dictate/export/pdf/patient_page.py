"""The page handed to the patient: what was noted, in plain words, and the next date."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from itertools import groupby

from reportlab.platypus import Flowable, Spacer

from dictate.exam.decisions import AWAITED
from dictate.exam.readback import and_words
from dictate.export.chart import DRAFT, Chart, Entry
from dictate.export.pdf import look
from dictate.export.pdf.grid import Cell, grid, inner
from dictate.export.pdf.prose import Run, heading, paragraph
from dictate.export.plain_words import details, is_variant, plain_words, what, where


def patient_page(chart: Chart, width: float) -> Iterator[Flowable]:
    """In large letters, on a page of its own."""
    page = plain_words().page
    yield paragraph(look.LARGE_TITLE, width, page.title)
    if chart.is_draft:
        yield paragraph(look.ALARM, width, DRAFT)
    yield Spacer(1, 4)
    facts = [("Date", long_date(chart.examined)), *chart.patient_lines]
    line = [part for label, text in facts for part in (Run(f"{label}: ", bold=True), text, " · ")]
    yield paragraph(look.LARGE, width, *line[:-1])
    yield Spacer(1, 6)
    yield paragraph(look.LARGE, width, page.intro)
    yield from heading(look.LARGE_HEADING, width, "What was noted")
    yield from _noted(chart, width)
    yield from _decided(chart, width)
    yield from heading(look.LARGE_HEADING, width, page.next)
    yield from _dates(chart, width)
    yield Spacer(1, 4)
    yield paragraph(look.LARGE, width, page.sooner)
    yield from _left_out(chart, width)
    yield Spacer(1, 8)
    yield paragraph(look.PALE, width, page.limits)


def long_date(day: date) -> str:
    """ "18 March 2031"."""
    return f"{day.day} {day:%B %Y}"


def _noted(chart: Chart, width: float) -> Iterator[Flowable]:
    if not chart.entries:
        yield paragraph(look.LARGE, width, plain_words().page.nothing)
        return
    widths = [34.0, width - 34.0]
    rows: list[list[Cell]] = [
        [[paragraph(look.LARGE_NUMBER, inner(widths[0]), str(entry.number))], _told(entry, widths)]
        for entry in chart.entries
    ]
    yield grid(widths, rows)


def _told(entry: Entry, widths: list[float]) -> Cell:
    finding = entry.finding
    lines = [paragraph(look.LARGE, inner(widths[1]), Run(_capital(where(finding)), bold=True))]
    lines.append(paragraph(look.LARGE, inner(widths[1]), _capital(what(finding)) + "."))
    more = details(finding)
    if is_variant(finding):
        more.append(plain_words().page.variant)
    if more:
        lines.append(paragraph(look.BODY, inner(widths[1]), _capital("; ".join(more)) + "."))
    lines += [
        paragraph(look.ALARM, inner(widths[1]), f"Not yet confirmed: {doubt}")
        for doubt in entry.doubts
    ]
    return list(lines)


def _decided(chart: Chart, width: float) -> Iterator[Flowable]:
    known = plain_words().decisions
    told = [each for each in chart.decisions if each.kind in known]
    if told:
        yield from heading(look.LARGE_HEADING, width, plain_words().page.decided)
    for each in told:
        number = chart.number(each.finding)
        about = f"Number {number}: " if number else "Something noted earlier: "
        yield paragraph(look.LARGE, width, f"{about}{known[each.kind]}.")


def _dates(chart: Chart, width: float) -> Iterator[Flowable]:
    waiting = [each for each in chart.rechecks if each.done is None]
    for due, lines in groupby(waiting, key=lambda line: line.due):
        numbers = [str(each) for each in map(chart.number, (x.finding for x in lines)) if each]
        label = "number" if len(numbers) == 1 else "numbers"
        about = f" ({label} {and_words(numbers)})" if numbers else ""
        yield paragraph(look.LARGE, width, Run(f"By {long_date(due)}", bold=True), about)
    asked = (each for each in chart.extras.decisions if each.kind in AWAITED and not each.answered)
    awaited = {each.due for each in asked if each.due}
    for day in sorted(awaited):
        words = plain_words().page.unheard.format(day=long_date(day))
        yield paragraph(look.LARGE, width, words)
    if not waiting and not awaited:
        yield paragraph(look.LARGE, width, plain_words().page.no_date)


def _left_out(chart: Chart, width: float) -> Iterator[Flowable]:
    names = plain_words().regions
    missed = [
        names.get(each.region, each.region) for each, _ in chart.coverage if not each.examined
    ]
    if missed:
        yield from heading(look.LARGE_HEADING, width, "Not looked at this time")
        yield paragraph(look.LARGE, width, _capital(and_words(missed)) + ".")


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
