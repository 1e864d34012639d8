"""Pages: paper, margins, the line at the foot, and what marks a draft."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from io import BytesIO
from typing import Any

from reportlab.lib.pagesizes import A4, LETTER
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import BaseDocTemplate, Flowable, Frame, PageTemplate

from dictate.errors import ExportError
from dictate.export.pdf.fonts import BOLD, REGULAR, draw_line, drawable, register, width_of
from dictate.export.pdf.look import ALERT, INK, PALE_INK, RULE

PAPERS = {"a4": A4, "letter": LETTER}
MARGIN = 45.0
FOOT = 52.0
"""Height of the foot with its line, in points."""


@dataclass(frozen=True, slots=True)
class Sheet:
    """What every page of a document carries."""

    title: str
    """Of the document; holds nothing that identifies a patient."""
    foot: str
    """What a loose page is known by."""
    draft: bool = False
    paper: str = "a4"

    @property
    def size(self) -> tuple[float, float]:
        """Width and height in points. Raises ExportError for another paper."""
        if self.paper not in PAPERS:
            raise ExportError(f"No paper is called {self.paper}; choose {' or '.join(PAPERS)}.")
        return PAPERS[self.paper]

    @property
    def width(self) -> float:
        """Between the margins, in points."""
        return self.size[0] - 2 * MARGIN

    @property
    def height(self) -> float:
        """Between margin and foot, in points."""
        return self.size[1] - MARGIN - FOOT


def make(sheet: Sheet, story: Sequence[Flowable]) -> bytes:
    """The story as a PDF document; the same story gives the same bytes."""
    register()
    out = BytesIO()
    frame = Frame(MARGIN, FOOT, sheet.width, sheet.height, 0, 0, 0, 0, showBoundary=0)
    document = BaseDocTemplate(
        out, pagesize=sheet.size, title=sheet.title, author="", creator="dictate", invariant=1
    )
    document.addPageTemplates(PageTemplate(frames=[frame]))
    document.build(list(story), canvasmaker=lambda *args, **more: _Pages(sheet, *args, **more))
    return out.getvalue()


class _Pages(Canvas):
    """Keeps the pages back until it is known how many there are."""

    def __init__(self, sheet: Sheet, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self._sheet = sheet
        self._kept: list[dict[str, Any]] = []

    def showPage(self) -> None:  # noqa: N802
        self._kept.append(dict(self.__dict__))
        self._startPage()  # type: ignore[attr-defined]

    def save(self) -> None:
        total = len(self._kept)
        for number, page in enumerate(self._kept, 1):
            self.__dict__.update(page)
            _decorate(self, self._sheet, number, total)
            super().showPage()
        super().save()


def _decorate(canvas: Canvas, sheet: Sheet, number: int, total: int) -> None:
    width, height = sheet.size
    if sheet.draft:
        _watermark(canvas, width, height)
    canvas.saveState()
    canvas.setStrokeColor(RULE)
    canvas.setLineWidth(0.6)
    canvas.line(MARGIN, FOOT - 12, width - MARGIN, FOOT - 12)
    canvas.setFillColor(PALE_INK)
    canvas.setFont(REGULAR, 7.2)
    page = f"page {number} of {total}"
    room = sheet.width - width_of(page, 7.2) - 12
    canvas.drawRightString(width - MARGIN, FOOT - 23, page)
    draw_line(canvas, MARGIN, FOOT - 23, _cut(drawable(sheet.foot), room), 7.2)
    canvas.restoreState()


def _cut(text: str, room: float) -> str:
    """The text itself; its start with an ellipsis when it is longer than the room."""
    if width_of(text, 7.2) <= room:
        return text
    while text and width_of(f"{text}…", 7.2) > room:
        text = text[:-1]
    return f"{text}…"


def _watermark(canvas: Canvas, width: float, height: float) -> None:
    """Over everything, yet pale enough to read through; and a plain line at the top."""
    canvas.saveState()
    canvas.setFillColor(ALERT)
    canvas.setFont(BOLD, 8)
    canvas.drawCentredString(width / 2, height - 26, "DRAFT: not confirmed, not signed")
    canvas.translate(width / 2, height / 2)
    canvas.rotate(52)
    canvas.setFillColor(INK)
    canvas.setFillAlpha(0.09)
    canvas.setFont(BOLD, 132)
    canvas.drawCentredString(0, -20, "DRAFT")
    canvas.setFont(BOLD, 34)
    canvas.drawCentredString(0, -66, "not confirmed")
    canvas.restoreState()
