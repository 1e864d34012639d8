"""Outlines: straight lines and curves in a plane, y downwards."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from dictate.errors import VocabularyError

Point = tuple[float, float]
_POINTS = {"M": 1, "L": 1, "C": 3}


@dataclass(frozen=True, slots=True)
class Stroke:
    """One step of a path: "M"ove, "L"ine, "C"urve (two handles and the end) or "Z" (close)."""

    kind: str
    points: tuple[Point, ...] = ()


Path = tuple[Stroke, ...]


def parse(text: str) -> Path:
    """The path that "M x y L x y C x1 y1 x2 y2 x y Z" means; VocabularyError for another text."""
    try:
        return tuple(_strokes(text.split()))
    except (ValueError, StopIteration, RuntimeError):
        raise VocabularyError(f"diagram_views.toml: {text[:40]!r} is no path; correct it") from None


def _strokes(words: list[str]) -> Iterator[Stroke]:
    rest = iter(words)
    for word in rest:
        if word == "Z":
            yield Stroke("Z")
            continue
        if word not in _POINTS:
            raise ValueError(word)
        points = tuple((float(next(rest)), float(next(rest))) for _ in range(_POINTS[word]))
        if len(points) != _POINTS[word]:
            raise ValueError(word)
        yield Stroke(word, points)


def mirrored(path: Path, width: float) -> Path:
    """The mirror image about the upright line in the middle of `width`."""
    return tuple(Stroke(each.kind, tuple((width - x, y) for x, y in each.points)) for each in path)


def folded(half: Path, width: float) -> Path:
    """The closed outline whose one half this is and whose other half is its mirror image."""
    back: list[Stroke] = []
    here = half[0].points[-1]
    for stroke in half[1:]:
        handles = stroke.points[:-1][::-1]
        back.append(Stroke(stroke.kind, (*handles, here)))
        here = stroke.points[-1]
    return (*half, *mirrored(tuple(reversed(back)), width), Stroke("Z"))
