"""Where a finding lies on the drawings, by region, sub-site and side."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

from dictate.exam.finding import FindingFields
from dictate.exam.protocol import Protocol
from dictate.export.diagram.path import Point
from dictate.export.diagram.views import views
from dictate.export.tables import Row, table

FILE = "diagram.toml"


class _Other(Row):
    view: str
    right: Point
    middle: Point


class _Part(Row):
    subsite: str
    view: str | None = None
    right: Point | None = None
    middle_view: str | None = None
    middle: Point | None = None
    other: _Other | None = None


class _Place(Row):
    region: str
    view: str
    right: Point
    middle_view: str | None = None
    middle: Point
    other: _Other | None = None
    parts: tuple[_Part, ...] = ()


class _File(Row):
    places: tuple[_Place, ...]
    levels: tuple[_Place, ...] = ()


@dataclass(frozen=True, slots=True)
class Spot:
    """A point of a drawing, in the drawing's units."""

    view: str
    x: float
    y: float
    sure: bool = True
    """False if the finding may as well lie at another spot: side, or jaw, not said."""


@dataclass(frozen=True, slots=True)
class _Sides:
    right: Spot
    left: Spot
    middle: Spot


_Key = tuple[str, str]


def spots(finding: FindingFields, protocol: Protocol) -> tuple[Spot, ...]:
    """The points to mark: two for both sides, none for a place the drawings do not know.

    Where what was said leaves several places open, each of them, none of them sure. A normal
    variant of a whole region lies on both sides, and is sure without one.
    """
    candidates, exact = _find(finding)
    station = protocol.station(finding.region)
    sided = station is None or station.needs_side(finding.subsite)
    whole = bool({finding.normal_variant, finding.kind} & set(protocol.sideless))
    told = finding.side is not None or not sided or whole
    sure = exact and len(candidates) < 2 and told
    return tuple(
        replace(spot, sure=sure) for each in candidates for spot in _chosen(each, finding, sided)
    )


def _chosen(sides: _Sides, finding: FindingFields, sided: bool) -> tuple[Spot, ...]:
    if finding.side == "right":
        return (sides.right,)
    if finding.side == "left":
        return (sides.left,)
    if finding.side == "bilateral" or (finding.side is None and sided):
        return (sides.right, sides.left)
    return (sides.middle,)


def _find(finding: FindingFields) -> tuple[tuple[_Sides, ...], bool]:
    """Candidates, and whether they are of the very part that was named."""
    places, levels = _tables()
    region, part = finding.region or "", finding.subsite or ""
    if finding.node_level and not part and (region, finding.node_level) in levels:
        return levels[region, finding.node_level], True
    if (region, part) in places:
        return places[region, part], True
    return places.get((region, ""), ()), False


@lru_cache(maxsize=1)
def _tables() -> tuple[dict[_Key, tuple[_Sides, ...]], dict[_Key, tuple[_Sides, ...]]]:
    """Places by region and sub-site ("" for the region itself), and by region and level."""
    file = table(FILE, _File)
    return _by_name(file.places), _by_name(file.levels)


def _by_name(places: tuple[_Place, ...]) -> dict[_Key, tuple[_Sides, ...]]:
    found = {}
    for place in places:
        whole = _Part(subsite="", other=place.other)
        for part in (whole, *place.parts):
            others = [part.other] if part.other else []
            found[place.region, part.subsite] = (
                _sides(place, part),
                *(_mirrored(each.view, each.right, each.view, each.middle) for each in others),
            )
    return found


def _sides(place: _Place, part: _Part) -> _Sides:
    view = part.view or place.view
    return _mirrored(view, part.right or place.right, *_middle(place, part, view))


def _mirrored(view: str, right: Point, middle_view: str, middle: Point) -> _Sides:
    x, y = right
    return _Sides(
        right=Spot(view, x, y),
        left=Spot(view.replace("right", "left"), views()[view].width - x, y),
        middle=Spot(middle_view, *middle),
    )


def _middle(place: _Place, part: _Part, view: str) -> tuple[str, Point]:
    """The midline is never on a view of one side."""
    whole = place.middle_view or place.view
    if part.middle is None:
        return whole, place.middle
    return part.middle_view or (whole if "right" in view else view), part.middle
