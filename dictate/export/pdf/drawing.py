"""A drawing with numbered marks on it, put on a page."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot

from reportlab.lib.colors import Color, HexColor, white
from reportlab.pdfgen.canvas import Canvas
from reportlab.pdfgen.pathobject import PDFPathObject

from dictate.export.diagram.path import Path
from dictate.export.diagram.spread import spread
from dictate.export.diagram.views import View
from dictate.export.pdf.fonts import BOLD, REGULAR
from dictate.export.pdf.look import INK, MARK, PALE_INK

RADIUS = 6.2
"""Of a mark, in points."""
CAPTION = 17.0
"""Room above a drawing for its title, and below it for right and left, in points."""


@dataclass(frozen=True, slots=True)
class Paint:
    """How a shape is filled and outlined; widths in points."""

    fill: Color | None
    line: Color | None
    width: float = 0.6


_OUTLINE, _FINE = HexColor(0x5B6870), HexColor(0x98A2A8)
PAINTS = {
    "skin": Paint(HexColor(0xF8F2EC), _OUTLINE, 0.8),
    "mucosa": Paint(HexColor(0xF9E8E4), HexColor(0x86706F), 0.7),
    "deep": Paint(HexColor(0xF2D9D3), HexColor(0x86706F), 0.6),
    "gum": Paint(HexColor(0xF5D8D1), HexColor(0x9A8280), 0.5),
    "throat": Paint(HexColor(0xEBC6BF), HexColor(0x9A8280), 0.5),
    "tooth": Paint(white, HexColor(0x9AA0A4), 0.5),
    "line": Paint(None, _OUTLINE, 0.7),
    "detail": Paint(None, _FINE, 0.5),
    "vein": Paint(None, HexColor(0x9C9ABF), 0.8),
    "dot": Paint(_FINE, None),
}


@dataclass(frozen=True, slots=True)
class Mark:
    """A number at a point of a drawing, in the drawing's units."""

    number: int
    x: float
    y: float
    sure: bool = True


def height_for(view: View, width: float) -> float:
    """Height in points, captions included, of the view drawn `width` points wide."""
    return view.height * width / view.width + 2 * CAPTION


def draw_view(
    canvas: Canvas, view: View, marks: Sequence[Mark], left: float, bottom: float, width: float
) -> None:
    """The view with its title, its sides and its marks; positions in points."""
    scale = width / view.width
    height = view.height * scale
    canvas.saveState()
    canvas.translate(left, bottom)
    _captions(canvas, view, width, height)
    canvas.translate(0, CAPTION)
    canvas.setLineJoin(1)
    canvas.setLineCap(1)
    for style, path in view.shapes:
        _shape(canvas, PAINTS[style], path, scale, height)
    _marks(canvas, marks, scale, width, height)
    canvas.restoreState()


def _captions(canvas: Canvas, view: View, width: float, height: float) -> None:
    canvas.setFillColor(INK)
    canvas.setFont(BOLD, 7.5)
    canvas.drawCentredString(width / 2, height + CAPTION + 6, view.title)
    canvas.setFillColor(PALE_INK)
    canvas.setFont(REGULAR, 6.5)
    canvas.drawString(0, 6, f"< {view.left}")
    canvas.drawRightString(width, 6, f"{view.right} >")


def _shape(canvas: Canvas, paint: Paint, path: Path, scale: float, height: float) -> None:
    drawn = canvas.beginPath()
    for stroke in path:
        flat = [each for x, y in stroke.points for each in (x * scale, height - y * scale)]
        _step(drawn, stroke.kind, flat)
    if paint.fill:
        canvas.setFillColor(paint.fill)
    if paint.line:
        canvas.setStrokeColor(paint.line)
        canvas.setLineWidth(paint.width)
    canvas.drawPath(drawn, fill=int(paint.fill is not None), stroke=int(paint.line is not None))


def _step(drawn: PDFPathObject, kind: str, flat: list[float]) -> None:
    if kind == "M":
        drawn.moveTo(*flat)
    elif kind == "L":
        drawn.lineTo(*flat)
    elif kind == "C":
        drawn.curveTo(*flat)
    else:
        drawn.close()


def _marks(
    canvas: Canvas, marks: Sequence[Mark], scale: float, width: float, height: float
) -> None:
    anchors = [(each.x * scale, height - each.y * scale) for each in marks]
    places = spread(anchors, RADIUS * 2 + 1.2, width, height)
    for anchor, place in zip(anchors, places, strict=True):
        if hypot(place[0] - anchor[0], place[1] - anchor[1]) > 1.5:
            canvas.setStrokeColor(MARK)
            canvas.setLineWidth(0.6)
            canvas.line(*anchor, *place)
            canvas.setFillColor(MARK)
            canvas.circle(*anchor, 1.4, stroke=0, fill=1)
    for mark, place in zip(marks, places, strict=True):
        _mark(canvas, mark, *place)


def _mark(canvas: Canvas, mark: Mark, x: float, y: float) -> None:
    """A filled disc; a dashed ring and a question mark when the side was not said."""
    canvas.setLineWidth(0.9)
    canvas.setStrokeColor(MARK)
    canvas.setFillColor(MARK if mark.sure else white)
    canvas.setDash(*(() if mark.sure else (1.6, 1.2)))
    canvas.circle(x, y, RADIUS, stroke=1, fill=1)
    canvas.setDash()
    text = f"{mark.number}" if mark.sure else f"{mark.number}?"
    size = 7.6 if len(text) < 3 else 5.8
    canvas.setFillColor(white if mark.sure else MARK)
    canvas.setFont(BOLD, size)
    canvas.drawCentredString(x, y - size * 0.35, text)
