"""All regions in the order of the examination, each with its state."""

from __future__ import annotations

from textual.content import Content
from textual.widgets import OptionList
from textual.widgets.option_list import Option

from dictate.exam.coverage import RegionCoverage
from dictate.tui.desk import Desk
from dictate.tui.regions import mark_of
from dictate.tui.wording import REGION_MARKS

_ROOM = 30
"""Cells of a row in the narrowest place where the list stands."""


class RegionList(OptionList):
    """Choosing a region goes there. Option ids are region names."""

    DEFAULT_CSS = """
    RegionList { border: none; padding: 0 1; background: $surface; height: 1fr; }
    RegionList:focus { border: none; background-tint: $foreground 0%; }
    """
    current: str | None = None

    def show_record(self, desk: Desk) -> None:
        session = desk.session
        chosen = self.highlighted
        moved = session.current_region != self.current
        self.current = session.current_region
        self.set_options(
            Option(_row(each, each.region == self.current), id=each.region)
            for each in session.coverage
        )
        if moved and self.current in session.protocol.order:
            chosen = session.protocol.order.index(self.current)
        self.highlighted = chosen

    def chosen(self) -> str | None:
        """The region under the cursor."""
        option = self.highlighted_option
        return option.id if option is not None else None


def _row(here: RegionCoverage, current: bool) -> Content:
    mark, words = mark_of(here)
    station = here.station
    risk = " ▲" if station.high_risk or station.high_risk_subsites else ""
    name = f"{here.region}{risk}"
    state = "" if mark is REGION_MARKS["waiting"] else words
    gap = "  " if len(name) + len(state) + 6 <= _ROOM else "\n      "
    return Content.assemble(
        ("▶ " if current else "  ", "bold $primary"),
        (f"{mark.symbol} ", mark.style),
        (name, "bold" if current else ""),
        (f"{gap}{state}" if state else "", mark.style),
    )
