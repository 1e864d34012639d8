"""Tables in one look."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from reportlab.platypus import Flowable, Table, TableStyle

from dictate.export.pdf.look import BAND, COLUMN, RULE
from dictate.export.pdf.prose import paragraph

PAD = 5.0
Cell = list[Flowable]


def grid(
    widths: Sequence[float], rows: Sequence[Sequence[Cell]], names: Sequence[str] = ()
) -> Table:
    """Rows of cells parted by fine lines; with `names`, a band of column names on every page.

    A row too tall for a page is continued on the next.
    """
    band = [[paragraph(COLUMN, inner(w), name)] for w, name in zip(widths, names, strict=False)]
    style: list[Any] = [
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("LEFTPADDING", (0, 0), (-1, -1), PAD),
        ("RIGHTPADDING", (0, 0), (-1, -1), PAD),
        ("TOPPADDING", (0, 0), (-1, -1), 3),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 4),
        ("LINEBELOW", (0, 0), (-1, -1), 0.5, RULE),
    ]
    if names:
        style.append(("BACKGROUND", (0, 0), (-1, 0), BAND))
    content: list[list[Any]] = [list(each) for each in ([band, *rows] if names else rows)]
    table = Table(
        content, colWidths=list(widths), repeatRows=1 if names else 0, splitInRow=1, hAlign="LEFT"
    )
    table.setStyle(TableStyle(style))
    return table


def inner(width: float) -> float:
    """Room for text in a column of that width."""
    return width - 2 * PAD
