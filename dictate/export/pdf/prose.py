"""Words set as paragraphs: safe, every character shown, right-to-left scripts in order."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby
from xml.sax.saxutils import escape

from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import CondPageBreak, Flowable, Paragraph

from dictate.export.pdf.fonts import (
    BOLD,
    RIGHT_MARK,
    WIDE,
    drawable,
    in_visual_order,
    is_right_to_left,
    pieces,
    register,
    strong,
    width_of,
)


@dataclass(frozen=True, slots=True)
class Run:
    """A stretch of text in one weight."""

    text: str
    bold: bool = False


_Word = tuple[str, bool]
_TOGETHER = 78.0
"""Room that a heading needs below it on its page, in points."""


def heading(style: ParagraphStyle, width: float, text: str) -> Iterator[Flowable]:
    """A heading that is never the last thing on its page."""
    yield CondPageBreak(_TOGETHER)
    yield paragraph(style, width, text)


def paragraph(style: ParagraphStyle, width: float, *runs: Run | str) -> Paragraph:
    """One paragraph, at most `width` points wide, of text that may come from anywhere."""
    register()
    safe = [_safe(each if isinstance(each, Run) else Run(each)) for each in runs]
    if any(is_right_to_left(each.text) for each in safe):
        return Paragraph("<br/>".join(_lines(safe, style, width)), style)
    return Paragraph("".join(_markup(each.text, each.bold) for each in safe), style)


def _safe(run: Run) -> Run:
    return Run(drawable(run.text), run.bold)


def _markup(text: str, bold: bool) -> str:
    stretches = pieces(text, BOLD if bold else "")
    marked = "".join(
        f'<font name="{WIDE}">{escape(each)}</font>' if name == WIDE else escape(each)
        for name, each in stretches
    )
    return f"<b>{marked}</b>" if bold else marked


def _lines(runs: list[Run], style: ParagraphStyle, width: float) -> Iterator[str]:
    """The words on lines that fit; within each, letters in the order that they stand on paper."""
    lines = list(_broken(runs, style, width - 1.0))  # so that no line is broken once more
    for before, line, after in zip([[], *lines], lines, [*lines[1:], []], strict=False):
        start = RIGHT_MARK if _runs_on(before, line) else ""
        end = RIGHT_MARK if _runs_on(line, after) else ""
        yield _set(line, start, end)


def _broken(runs: list[Run], style: ParagraphStyle, room: float) -> Iterator[list[_Word]]:
    line: list[_Word] = []
    for word in _words(runs, style, room):
        if line and _width([*line, word], style) > room:
            yield line
            line = []
        line.append(word)
    if line:
        yield line


def _runs_on(one: list[_Word], two: list[_Word]) -> bool:
    """True if right-to-left text goes on across the break, marks at the break included."""
    before = strong("".join(word for word, _ in one))
    after = strong("".join(word for word, _ in two))
    return before[-1:] == after[:1] == "R"


def _words(runs: list[Run], style: ParagraphStyle, room: float) -> Iterator[_Word]:
    for run in runs:
        for word in run.text.split():
            yield from ((piece, run.bold) for piece in _pieces(word, run.bold, style, room))


def _pieces(word: str, bold: bool, style: ParagraphStyle, room: float) -> Iterator[str]:
    """The word itself, or parts of it that fit a line each."""
    start = 0
    for end in range(2, len(word) + 1):
        if end - start > 1 and _width([(word[start:end], bold)], style) > room:
            yield word[start : end - 1]
            start = end - 1
    yield word[start:]


def _width(words: list[_Word], style: ParagraphStyle) -> float:
    return sum(
        width_of(f"{word} ", style.fontSize, BOLD if bold else style.fontName)
        for word, bold in words
    )


def _set(words: list[_Word], start: str, end: str) -> str:
    groups = [(bold, [word for word, _ in group]) for bold, group in groupby(words, _is_bold)]
    parts = []
    for index, (bold, texts) in enumerate(groups):
        text = (start if index == 0 else "") + " ".join(texts)
        text += end if index == len(groups) - 1 else ""
        parts.append(_markup(in_visual_order(text), bold))
    return " ".join(parts)


def _is_bold(word: _Word) -> bool:
    return word[1]
