"""The caution that stands on every screen with findings."""

from __future__ import annotations

from textual import events
from textual.content import Content
from textual.widgets import Static

from dictate.tui.wording import CAUTION, SHORT_CAUTION


class Caution(Static):
    """In full where it fits on a line."""

    DEFAULT_CSS = "Caution { height: 1; padding: 0 1; color: $muted; }"

    def on_resize(self, event: events.Resize) -> None:
        fits = len(CAUTION) <= self.content_size.width
        self.update(Content(CAUTION if fits else SHORT_CAUTION))
