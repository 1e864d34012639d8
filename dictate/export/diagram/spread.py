"""Keeps marks that share a place from covering each other."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import combinations

from dictate.export.diagram.path import Point

ROUNDS = 400


def spread(anchors: Sequence[Point], apart: float, width: float, height: float) -> list[Point]:
    """Places for round marks, at least `apart` from centre to centre where there is room.

    Each stays as near to its anchor as the others let it, its centre within width and height.
    The same anchors give the same places.
    """
    points = [_within(_nudged(each, at), width, height) for at, each in enumerate(anchors)]
    for _ in range(ROUNDS):
        if not _push(points, apart):
            break
        points = [_within(each, width, height) for each in points]
    return points


def _nudged(anchor: Point, index: int) -> Point:
    """Marks at one and the same anchor set out in different directions."""
    dx, dy = _direction(index)
    return anchor[0] + 0.05 * dx, anchor[1] + 0.05 * dy


def _direction(index: int) -> Point:
    angle = index * 2.39996  # the golden angle: neighbours in number go far apart
    return math.cos(angle), math.sin(angle)


def _push(points: list[Point], apart: float) -> bool:
    """Move pairs that are too close away from each other; False if there was none."""
    moved = False
    for one, two in combinations(range(len(points)), 2):
        (ax, ay), (bx, by) = points[one], points[two]
        far = math.hypot(bx - ax, by - ay)
        if far < apart - 0.01:
            ux, uy = ((bx - ax) / far, (by - ay) / far) if far > 1e-6 else _direction(two)
            dx, dy = ux * (apart - far) / 2, uy * (apart - far) / 2
            points[one], points[two] = (ax - dx, ay - dy), (bx + dx, by + dy)
            moved = True
    return moved


def _within(point: Point, width: float, height: float) -> Point:
    x, y = point
    return min(max(x, 0.0), width), min(max(y, 0.0), height)
