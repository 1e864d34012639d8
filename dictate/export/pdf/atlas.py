"""The page of drawings with every finding placed on it."""

from __future__ import annotations

from collections.abc import Sequence

from reportlab.platypus import Flowable

from dictate.export.chart import Chart
from dictate.export.diagram.places import Spot, spots
from dictate.export.diagram.views import views
from dictate.export.pdf.drawing import Mark, draw_view, height_for

ROWS = (
    (("side right", 32), ("face front", 32), ("side left", 32)),
    (("mouth", 43), ("palate", 27), ("floor", 27)),
    (("tongue right", 32), ("tongue top", 28), ("tongue left", 32)),
)
"""Views by row, and the share of the page's width that each takes, in hundredths."""
BETWEEN = 6.0


class Atlas(Flowable):
    """All drawings in three rows, as wide as the page; `marks` by view."""

    def __init__(self, marks: dict[str, list[Mark]], width: float, room: float) -> None:
        super().__init__()
        self._marks = marks
        self._scale = min(1.0, (room - 2 * BETWEEN) / sum(_height(row, width) for row in ROWS))
        self.width = width
        self.height = sum(self._row_height(row) for row in ROWS) + 2 * BETWEEN

    def wrap(self, *_: float) -> tuple[float, float]:
        return self.width, self.height

    def draw(self) -> None:
        top = self.height
        for row in ROWS:
            height = self._row_height(row)
            gap = (self.width - sum(self._share(each) for _, each in row)) / (len(row) - 1)
            left = 0.0
            for name, share in row:
                view, width = views()[name], self._share(share)
                lift = (height - height_for(view, width)) / 2
                draw_view(
                    self.canv, view, self._marks.get(name, []), left, top - height + lift, width
                )
                left += width + gap
            top -= height + BETWEEN

    def _share(self, share: float) -> float:
        return self.width * self._scale * share / 100

    def _row_height(self, row: Sequence[tuple[str, int]]) -> float:
        return _height(row, self.width * self._scale)


def _height(row: Sequence[tuple[str, int]], width: float) -> float:
    return max(height_for(views()[name], width * share / 100) for name, share in row)


def placed(chart: Chart) -> tuple[dict[str, list[Mark]], tuple[int, ...], bool]:
    """Marks by view, the numbers of findings that no drawing has a place for, and whether
    some mark is not certain."""
    marks: dict[str, list[Mark]] = {}
    nowhere: list[int] = []
    uncertain = False
    for entry in chart.entries:
        found: tuple[Spot, ...] = spots(entry.finding, chart.session.protocol)
        if not found:
            nowhere.append(entry.number)
        for spot in found:
            marks.setdefault(spot.view, []).append(Mark(entry.number, spot.x, spot.y, spot.sure))
            uncertain |= not spot.sure
    return marks, tuple(nowhere), uncertain
