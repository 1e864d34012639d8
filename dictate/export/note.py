"""The sections of the chart note, in order, for every form that it is written in."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from dictate.exam.readback import size_words
from dictate.exam.trend import change_words, size_change
from dictate.export.chart import Chart, Entry, capital, moment
from dictate.export.extras import PromptLine, SizePoint


@dataclass(frozen=True, slots=True)
class Section:
    """A heading, and below it lines or pairs of label and text."""

    name: str
    lines: tuple[str, ...] = ()
    pairs: tuple[tuple[str, str], ...] = ()


def head(chart: Chart) -> list[tuple[str, str]]:
    """What the document is of: session, patient, time."""
    return [
        ("Session", chart.session.id),
        *chart.patient_lines,
        ("Examined", moment(chart.session.created)),
    ]


def sections(chart: Chart) -> list[Section]:
    """The body of the note; empty sections are left out, all but the findings."""
    extras = chart.extras
    every = (
        Section("Risk history", pairs=tuple((each.topic, each.words) for each in extras.risks)),
        Section("Lesions of earlier visits", tuple(earlier_lines(chart))),
        Section("Findings", tuple(finding_lines(chart.entries))),
        Section("Sizes over time", tuple(size_lines(chart))),
        Section("Prompts (published rules that findings meet)", tuple(prompt_lines(chart))),
        Section("Decisions", tuple(decision_lines(chart))),
        Section("Re-checks", tuple(recheck_lines(chart))),
        Section("Regions", pairs=tuple((each.region, words) for each, words in chart.coverage)),
        Section("Put aside", tuple(aside_lines(chart))),
        Section("Amendments", chart.amendments),
    )
    return [each for each in every if each.lines or each.pairs]


def finding_lines(entries: Sequence[Entry]) -> Iterator[str]:
    """Each finding as a numbered sentence, and what is to be confirmed of it."""
    if not entries:
        yield "No finding was recorded."
    for entry in entries:
        yield f"{entry.number}. {entry.sentence}"
        for doubt in entry.doubts:
            yield f"   TO CONFIRM: {doubt}"


def earlier_lines(chart: Chart) -> Iterator[str]:
    """Lesions of earlier visits: what each was, since when, and what it is now."""
    for each in chart.extras.earlier:
        seen = f", first seen {each.first_seen}" if each.first_seen else ""
        number_now = chart.number(each.finding)
        now = f"; see finding {number_now}" if number_now else ""
        before = f". {capital('; '.join(each.before))}" if each.before else ""
        yield f"{each.words}{seen}: {each.now or 'not mentioned'}{now}{before}"


def size_lines(chart: Chart) -> Iterator[str]:
    """The sizes of each finding measured at more than one visit, and the change."""
    for entry in chart.entries:
        points = chart.extras.sizes.get(entry.finding.id, ())
        if len(points) > 1:
            told = "; ".join(f"{each.on} {size_words(each.size_mm)}" for each in points)
            yield f"Finding {entry.number}: {told}.{_since(points[0], points)}" + (
                _since(points[-2], points) if len(points) > 2 else ""
            )


def _since(before: SizePoint, points: Sequence[SizePoint]) -> str:
    """What is smaller than at first may have grown since last time: both are told."""
    change = size_change(before.size_mm, points[-1].size_mm)
    return f" Since {before.on}: {change_words(change)}." if change else ""


def prompts(chart: Chart) -> Iterator[tuple[PromptLine, str]]:
    """Rules met, each in words without its source; what should not wait comes first."""
    last = len(chart.entries) + 1
    for each in sorted(
        chart.extras.prompts,
        key=lambda prompt: (not prompt.urgent, chart.number(prompt.finding) or last),
    ):
        urgent = "DO NOT WAIT: " if each.urgent else ""
        yield each, f"{urgent}{chart.about(each.finding)}{each.text}"


def prompt_lines(chart: Chart) -> Iterator[str]:
    """Rules met, each with its source."""
    for each, words in prompts(chart):
        yield f"{words} ({each.source})"


def decision_lines(chart: Chart) -> Iterator[str]:
    """Decisions with reason, who and when."""
    for each in chart.decisions:
        who = ", ".join(filter(None, [each.by, str(each.on) if each.on else ""]))
        reason = f", because {each.reason}" if each.reason else ""
        line = f"{chart.about(each.finding)}{each.decision}{reason}"
        yield f"{line} ({who})" if who else line


def recheck_lines(chart: Chart) -> Iterator[str]:
    """Dates of re-checks, the earliest first."""
    for each in chart.rechecks:
        why = f": {each.why}" if each.why else ""
        done = f"; done {each.done}" if each.done else ""
        yield f"{chart.about(each.finding)}by {each.due}{why}{done}"


def aside_lines(chart: Chart) -> Iterator[str]:
    """The count of utterances put aside; in a draft, to be read through, their words too."""
    if chart.aside:
        yield chart.aside
    if chart.is_draft:
        for each in chart.session.set_aside:
            yield f'"{each.text}"' + (f" ({each.why})" if each.why else "")
