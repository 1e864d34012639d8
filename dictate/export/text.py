"""The chart note of a session as plain text."""

from __future__ import annotations

import textwrap

from dictate.exam.record import Record
from dictate.export.chart import CAUTIONS, DRAFT, TITLE, Chart
from dictate.export.extras import NOTHING, Extras
from dictate.export.note import Section, head, sections
from dictate.export.plain import visible

WIDTH = 88
LABEL = 28


def summary(session: Record, extras: Extras = NOTHING) -> str:
    """The chart note in words, ending in a newline; a draft says so at both ends."""
    chart = Chart(session, extras)
    blocks = [
        [TITLE.upper(), "=" * WIDTH, *([DRAFT] if chart.is_draft else []), *_head(chart)],
        *(_section(each) for each in sections(chart)),
        [line for caution in CAUTIONS for line in wrapped(caution)],
        [visible(chart.signature)],
    ]
    return "\n\n".join("\n".join(block) for block in blocks) + "\n"


def wrapped(text: str, indent: int = 0) -> list[str]:
    """The text, made safe, on lines of at most `WIDTH`; those after the first are indented."""
    safe = visible(text)
    return textwrap.wrap(safe, WIDTH, subsequent_indent=" " * indent, break_on_hyphens=False) or [
        ""
    ]


def _head(chart: Chart) -> list[str]:
    return [line for label, value in head(chart) for line in wrapped(f"{label:<12}{value}", 12)]


def _section(section: Section) -> list[str]:
    lines = [line for each in section.lines for line in wrapped(each, 3)]
    for label, text in section.pairs:
        lines += wrapped(f"{visible(label):<{LABEL}}{text}", LABEL)
    return [section.name, "-" * len(section.name), *lines]
