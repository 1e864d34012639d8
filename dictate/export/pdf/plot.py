"""The sizes of one finding over time, as a small plot."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import ceil

from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.platypus import Flowable

from dictate.exam.readback import number
from dictate.export.extras import SizePoint
from dictate.export.pdf.fonts import BOLD, REGULAR
from dictate.export.pdf.look import INK, MARK, PALE_INK, RULE

LEFT, BELOW, ABOVE, RIGHT = 26.0, 24.0, 34.0, 22.0
LABEL_PT = 7
_STEPS = (1, 2, 5, 10, 20, 50, 100)


@dataclass(frozen=True, slots=True)
class Label:
    """A size beside its point; in points of the page."""

    text: str
    left: float
    right: float
    bottom: float

    def overlaps(self, other: Label) -> bool:
        beside = self.right + 1 < other.left or other.right + 1 < self.left
        return not beside and abs(self.bottom - other.bottom) < LABEL_PT


class SizePlot(Flowable):
    """Longest dimension in mm over dates true to scale, from zero up.

    A label that would lie on another is left out: all sizes stand in words below.
    """

    def __init__(
        self, title: str, points: Sequence[SizePoint], width: float, height: float = 108.0
    ) -> None:
        super().__init__()
        self._title = title
        self._points = sorted(points, key=lambda each: each.on)
        self.width, self.height = width, height
        longest = max(max(each.size_mm) for each in points)
        self._step = next((each for each in _STEPS if longest / each <= 4), _STEPS[-1])
        self._top = self._step * max(1, ceil(longest / self._step))

    def wrap(self, *_: float) -> tuple[float, float]:
        return self.width, self.height

    def draw(self) -> None:
        canvas = self.canv
        canvas.setFillColor(INK)
        canvas.setFont(BOLD, 8)
        canvas.drawString(0, self.height - 9, self._title)
        self._axis()
        self._line()

    def _axis(self) -> None:
        canvas = self.canv
        canvas.setFont(REGULAR, 6.8)
        canvas.setLineWidth(0.4)
        canvas.setStrokeColor(RULE)
        for mm in range(0, self._top + 1, self._step):
            y = self._y(mm)
            canvas.line(LEFT, y, self.width - RIGHT, y)
            canvas.setFillColor(PALE_INK)
            canvas.drawRightString(LEFT - 4, y - 2.4, f"{mm}")
        canvas.drawString(0, self.height - 20, "mm, longest dimension")

    def _line(self) -> None:
        canvas = self.canv
        places = [(self._x(each), self._y(max(each.size_mm))) for each in self._points]
        canvas.setStrokeColor(MARK)
        canvas.setLineWidth(1.2)
        for (ax, ay), (bx, by) in pairwise(places):
            canvas.line(ax, ay, bx, by)
        free = -1e9
        labels = self.labels()
        for index, ((x, y), point) in enumerate(zip(places, self._points, strict=True)):
            canvas.setFillColor(MARK)
            canvas.circle(x, y, 2.3, stroke=0, fill=1)
            canvas.setFont(BOLD, LABEL_PT)
            if index in labels:
                canvas.drawCentredString(x, labels[index].bottom, labels[index].text)
            if x - free > 40 or point is self._points[-1]:
                canvas.setFillColor(PALE_INK)
                canvas.setFont(REGULAR, 6.5)
                low = BELOW - 9 if x - free > 40 else BELOW - 17
                canvas.drawCentredString(x, low, str(point.on))
                free = x

    def labels(self) -> dict[int, Label]:
        """By the point's place in time; the latest, the first and the largest go before others."""
        sizes = [max(each.size_mm) for each in self._points]
        last = len(sizes) - 1
        order = dict.fromkeys((last, 0, sizes.index(max(sizes)), *range(last, -1, -1)))
        kept: dict[int, Label] = {}
        for index in order:
            text = number(sizes[index])
            half = stringWidth(text, BOLD, LABEL_PT) / 2
            x, bottom = self._x(self._points[index]), self._y(sizes[index]) + 5
            label = Label(text, x - half, x + half, bottom)
            if not any(label.overlaps(each) for each in kept.values()):
                kept[index] = label
        return kept

    def _x(self, point: SizePoint) -> float:
        first, last = self._points[0].on, self._points[-1].on
        share = (point.on - first).days / max(1, (last - first).days)
        return LEFT + 22 + share * (self.width - RIGHT - LEFT - 44)

    def _y(self, mm: float) -> float:
        return BELOW + mm / self._top * (self.height - BELOW - ABOVE)
