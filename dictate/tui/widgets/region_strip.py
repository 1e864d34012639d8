"""The regions on one line, for a small terminal."""

from __future__ import annotations

from textual.content import Content
from textual.widgets import Static

from dictate.tui.desk import Desk
from dictate.tui.regions import tally


class RegionStrip(Static):
    """Neighbours of the current region, and how many regions are in which state."""

    DEFAULT_CSS = "RegionStrip { height: 1; padding: 0 1; background: $surface; }"

    def show_record(self, desk: Desk) -> None:
        session = desk.session
        after = session.protocol.after(session.current_region)
        parts = [
            Content.styled(f"{mark.symbol} {number} {mark.word}", mark.style)
            for mark, number in tally(session.coverage)
        ]
        if after is not None:
            parts.append(Content.assemble(("next ", "$muted"), (f"{after} ▸", "bold")))
        self.update(Content("  ").join(parts))
