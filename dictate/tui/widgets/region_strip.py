"""The regions on a line or two, for a small terminal."""

from __future__ import annotations

from textual import events
from textual.content import Content
from textual.widgets import Static

from dictate.tui.desk import Desk
from dictate.tui.regions import tally

_GAP = Content("  ")


class RegionStrip(Static):
    """How many regions are in which state, and where there is room the one that comes next."""

    DEFAULT_CSS = "RegionStrip { height: auto; max-height: 2; padding: 0 1; background: $surface; }"

    def __init__(self) -> None:
        super().__init__()
        self._states, self._after = Content(""), Content("")

    def show_record(self, desk: Desk) -> None:
        session = desk.session
        after = session.protocol.after(session.current_region)
        self._states = _GAP.join(
            # A state and its number stay on one line when the strip needs two.
            Content.styled(f"{mark.symbol} {number} {mark.word}".replace(" ", "\u00a0"), mark.style)
            for mark, number in tally(session.coverage)
        )
        self._after = Content.assemble(("next ", "$muted"), (f"{after} ▸", "bold"))
        if after is None:
            self._after = Content("")
        self._draw()

    def on_resize(self, event: events.Resize) -> None:
        self._draw()

    def _draw(self) -> None:
        both = _GAP.join([self._states, self._after])
        fits = both.cell_length <= self.size.width - 2  # padding
        self.update(both if fits and self._after else self._states)
