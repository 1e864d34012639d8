"""Keeps marks that share a place from covering each other."""

from __future__ import annotations

import math
from collections.abc import Sequence

from dictate.export.diagram.path import Point

ROUNDS = 400


def spread(anchors: Sequence[Point], apart: float, width: float, height: float) -> list[Point]:
    """Places for round marks, at least `apart` from centre to centre where there is room.

    Each stays as near to its anchor as the others let it, within width and height. The same
    anchors give the same places.
    """
    points = [_nudged(each, index) for index, each in enumerate(anchors)]
    for _ in range(ROUNDS):
        if not _push(points, apart):
            break
        points = [_within(each, apart / 2, width, height) for each in points]
    return points


def _nudged(anchor: Point, index: int) -> Point:
    """Marks at one and the same anchor set out in different directions."""
    angle = index * 2.39996  # the golden angle: neighbours in number go far apart
    return anchor[0] + 0.05 * math.cos(angle), anchor[1] + 0.05 * math.sin(angle)


def _push(points: list[Point], apart: float) -> bool:
    """Move pairs that are too close away from each other; False if there was none."""
    moved = False
    for one in range(len(points)):
        for two in range(one + 1, len(points)):
            (ax, ay), (bx, by) = points[one], points[two]
            far = math.hypot(bx - ax, by - ay) or 1e-6
            if far < apart - 0.01:
                step = (apart - far) / 2 / far
                dx, dy = (bx - ax) * step, (by - ay) * step
                points[one], points[two] = (ax - dx, ay - dy), (bx + dx, by + dy)
                moved = True
    return moved


def _within(point: Point, margin: float, width: float, height: float) -> Point:
    x, y = point
    return min(max(x, margin), width - margin), min(max(y, margin), height - margin)
