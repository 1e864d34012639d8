"""The keys that matter here, as many as fit on one line."""

from __future__ import annotations

from collections.abc import Sequence

from textual import events
from textual.content import Content
from textual.widget import Widget

Hint = tuple[str, str]
"""A key and what it does in a word or two."""
LOCK: Hint = ("F9", "Lock")
"""Locks every screen."""
_GAP = "  "


class KeyLine(Widget):
    """Hints in order of importance; locking and `always` stand at the end, whatever the width."""

    DEFAULT_CSS = "KeyLine { height: 1; padding: 0 1; background: $panel; }"

    def __init__(
        self,
        hints: Sequence[Hint] = (),
        always: Sequence[Hint] = (),
        id: str | None = None,  # noqa: A002
    ) -> None:
        super().__init__(id=id)
        self._hints, self._always = tuple(hints), (LOCK, *always)

    def show(self, hints: Sequence[Hint]) -> None:
        """Show other hints before those that always stand."""
        self._hints = tuple(hints)
        self.refresh()

    def on_resize(self, event: events.Resize) -> None:
        self.refresh()

    def render(self) -> Content:
        shown = list(self._hints)
        while shown and self._line([*shown, *self._always]).cell_length > self.content_size.width:
            shown.pop()
        return self._line([*shown, *self._always])

    @staticmethod
    def _line(hints: Sequence[Hint]) -> Content:
        parts = [Content.assemble((key, "bold $secondary"), f" {does}") for key, does in hints]
        return Content(_GAP).join(parts)
