"""Rows of a table whose cells wrap instead of being cut: a critical field is never cut off."""

from __future__ import annotations

from collections.abc import Sequence

from textual.content import Content

GAP = 2
"""Blank cells between two columns."""


def lay_out(cells: Sequence[Content], widths: Sequence[int]) -> Content:
    """One row, as many lines high as its tallest cell; widths in terminal cells."""
    wrapped = [cell.wrap(width) or [Content("")] for cell, width in zip(cells, widths, strict=True)]
    height = max(len(lines) for lines in wrapped)
    return Content("\n").join(_line(wrapped, widths, index) for index in range(height))


def _line(wrapped: Sequence[list[Content]], widths: Sequence[int], index: int) -> Content:
    parts = []
    for lines, width in zip(wrapped, widths, strict=True):
        text = lines[index].rstrip() if index < len(lines) else Content("")
        parts.append(text.pad_right(max(0, width - text.cell_length)))
    return Content(" " * GAP).join(parts)
