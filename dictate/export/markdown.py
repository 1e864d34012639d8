"""The chart note of a session as Markdown (CommonMark)."""

from __future__ import annotations

import re

from dictate.exam.record import Record
from dictate.export.chart import CAUTIONS, DRAFT, TITLE, Chart
from dictate.export.extras import NOTHING, Extras
from dictate.export.note import Section, head, sections
from dictate.export.plain import visible

_INLINE = re.compile(r"([\\`*_\[\]<>&~|])")
_AT_START = re.compile(r"^(\s*(?:\d+(?=[.)]))?)([#+=\-.)])")
"""What would begin a heading, a rule or a list, a numbered one included."""


def markdown(session: Record, extras: Extras = NOTHING) -> str:
    """The chart note, ending in a newline; a draft says so at both ends."""
    chart = Chart(session, extras)
    blocks = [
        f"# {TITLE}",
        f"> **{escaped(DRAFT)}**" if chart.is_draft else "",
        _pairs(head(chart)),
        *(_section(each) for each in sections(chart)),
        "\n".join(f"> {escaped(line)}" for line in CAUTIONS),
        f"**{escaped(chart.signature)}**",
    ]
    return "\n\n".join(filter(None, blocks)) + "\n"


def escaped(text: str) -> str:
    """The text, made safe, so that it is read as it stands and never as markup."""
    return _AT_START.sub(r"\1\\\2", _INLINE.sub(r"\\\1", visible(text)))


def _section(section: Section) -> str:
    body = _pairs(section.pairs) if section.pairs else _lines(section.lines)
    return f"## {escaped(section.name)}\n\n{body}"


def _lines(lines: tuple[str, ...]) -> str:
    """One paragraph a line: numbers are the document's own, not the reader's."""
    return "\n\n".join(escaped(each.strip()) for each in lines)


def _pairs(pairs: list[tuple[str, str]] | tuple[tuple[str, str], ...]) -> str:
    return "\n".join(f"- **{escaped(label)}:** {escaped(text)}" for label, text in pairs)
