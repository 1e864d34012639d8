"""The caution that stands on every screen with findings."""

from __future__ import annotations

from textual.content import Content
from textual.widgets import Static

from dictate.tui.wording import CAUTION


class Caution(Static):
    DEFAULT_CSS = "Caution { height: auto; padding: 0 1; color: $muted; background: $panel; }"

    def __init__(self) -> None:
        super().__init__(Content(CAUTION))
