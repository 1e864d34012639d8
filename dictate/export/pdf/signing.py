"""The block that says who answers for a document."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from reportlab.platypus import Table, TableStyle

from dictate.export.chart import Chart
from dictate.export.pdf import look
from dictate.export.pdf.grid import PAD, inner
from dictate.export.pdf.prose import Run, paragraph

LINE = 26.0
"""Height left free for ink, in points."""


def signature_block(chart: Chart, width: float) -> Table:
    """The signature on record, and lines for one in ink; a draft has none of either."""
    if chart.is_draft:
        return _boxed([[[paragraph(look.ALARM, inner(width), chart.signature)]]], [width])
    half = width / 2
    rows: list[list[Any]] = [
        [[paragraph(look.BODY, inner(width), Run(chart.signature, bold=True))], ""],
        ["", ""],
        [
            [paragraph(look.PALE, inner(half), "Signature")],
            [paragraph(look.PALE, inner(half), "Date")],
        ],
    ]
    lines = [("SPAN", (0, 0), (1, 0)), ("LINEABOVE", (0, 2), (1, 2), 0.6, look.INK)]
    return _boxed(rows, [half, half], [None, LINE, None], lines)


def _boxed(
    rows: list[list[Any]],
    widths: list[float],
    heights: list[float | None] | None = None,
    lines: Sequence[Any] = (),
) -> Table:
    table = Table(rows, colWidths=widths, rowHeights=heights, hAlign="LEFT")
    frame: list[Any] = [
        ("BOX", (0, 0), (-1, -1), 0.6, look.RULE),
        ("LEFTPADDING", (0, 0), (-1, -1), PAD),
        ("RIGHTPADDING", (0, 0), (-1, -1), PAD),
    ]
    table.setStyle(TableStyle([*frame, *lines]))
    return table
