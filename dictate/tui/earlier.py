"""An open lesion of an earlier visit as marked words, in every list alike."""

from __future__ import annotations

from textual.content import Content

from dictate.exam.following import LesionToday
from dictate.exam.lesions import Lesion
from dictate.tui.plain import visible
from dictate.tui.values import show

_STATUS = {
    "not mentioned": ("○ to look at", "bold $warning"),
    "same": ("✓ same", "$success"),
    "changed": ("● seen", "$secondary"),
    "linked": ("● seen", "$secondary"),
    "resolved": ("✓ resolved", "$success"),
    "not looked at": ("✕ not looked at", "$error"),
}


def lesion_cells(today: LesionToday) -> tuple[Content, ...]:
    """Side, what and where, size then, and what was said of it today."""
    lesion = today.lesion
    label = Content.assemble((lesion.label, "bold $primary"), f" {place_and_kind(lesion)}")
    then = Content.assemble(size_then(lesion), "\n", (str(lesion.latest.on), "$muted"))
    return (side(lesion), label, then, status(today))


def side(lesion: Lesion) -> Content:
    """In capitals, as everywhere: a side must not be misread."""
    said = lesion.fields.side
    return Content.styled(said.upper(), "bold") if said else Content.styled("–", "$muted")


def place_and_kind(lesion: Lesion) -> str:
    """ "lateral border, tongue: plaque"."""
    fields = lesion.fields
    place = ", ".join(filter(None, (fields.subsite, fields.region)))
    return visible(f"{place}: {fields.kind or 'finding'}")


def size_then(lesion: Lesion) -> str:
    """The size at the last visit that described it."""
    return show("size_mm", lesion.fields.size_mm) if lesion.fields.size_mm else "not measured"


def status(today: LesionToday) -> Content:
    """What was said of it today, with the size measured today."""
    words, style = _STATUS[today.status]
    now = today.finding
    size = f" {show('size_mm', now.size_mm)}" if now is not None and now.size_mm else ""
    reason = f": {visible(today.reason)}" if today.reason else ""
    return Content.styled(f"{words}{size}{reason}", style)
