"""The drawings, loaded from `vocab/diagram_views.toml`."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from pydantic import Field

from dictate.export.diagram.path import Path, folded, mirrored, parse
from dictate.export.tables import Row, table

Style = Literal["skin", "mucosa", "deep", "gum", "throat", "tooth", "line", "detail", "vein", "dot"]


class _Shape(Row):
    style: Style
    d: str
    kind: Literal["both", "fold", "once"] = "once"


class _View(Row):
    name: str
    title: str
    size: tuple[float, float]
    left: str
    right: str
    mirror: str | None = None
    paths: tuple[_Shape, ...] = ()


class _File(Row):
    views: tuple[_View, ...] = Field(min_length=1)


@dataclass(frozen=True, slots=True)
class View:
    """One drawing; lengths in its own units, y downwards."""

    name: str
    title: str
    width: float
    height: float
    left: str
    """What lies at the viewer's left."""
    right: str
    shapes: tuple[tuple[Style, Path], ...]
    """In the order they are drawn."""


@lru_cache(maxsize=1)
def views() -> dict[str, View]:
    """All drawings by name. Raises VocabularyError."""
    raw = {each.name: each for each in table("diagram_views.toml", _File).views}
    return {name: _made(each, raw) for name, each in raw.items()}


def _made(view: _View, raw: dict[str, _View]) -> View:
    width, height = view.size
    shapes = [
        each
        for shape in (raw[view.mirror] if view.mirror else view).paths
        for each in _drawn(shape, width)
    ]
    if view.mirror:
        shapes = [(style, mirrored(path, width)) for style, path in shapes]
    return View(view.name, view.title, width, height, view.left, view.right, tuple(shapes))


def _drawn(shape: _Shape, width: float) -> list[tuple[Style, Path]]:
    path = parse(shape.d)
    if shape.kind == "fold":
        return [(shape.style, folded(path, width))]
    both = [path, mirrored(path, width)] if shape.kind == "both" else [path]
    return [(shape.style, each) for each in both]
