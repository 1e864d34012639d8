"""The caution that stands on every screen with findings."""

from __future__ import annotations

from textual.content import Content
from textual.widget import Widget

from dictate.tui.wording import CAUTION, SHORT_CAUTION


class Caution(Widget):
    """In full where it fits on a line."""

    DEFAULT_CSS = "Caution { height: 1; padding: 0 1; color: $muted; }"

    def render(self) -> Content:
        fits = len(CAUTION) <= self.content_size.width
        return Content(CAUTION if fits else SHORT_CAUTION)
