"""The keys that matter here, on one line or two."""

from __future__ import annotations

from collections.abc import Sequence

from textual import events
from textual.content import Content
from textual.geometry import Size
from textual.widget import Widget

Hint = tuple[str, str]
"""A key and what it does in a word or two."""
LOCK: Hint = ("F9", "Lock")
"""Locks every screen."""
_GAP = "  "
_MOST_LINES = 2


class KeyLine(Widget):
    """Hints in order of importance; locking and `always` stand at the end, whatever the width.

    What does not fit on two lines is left out from the back; the help page has it.
    """

    DEFAULT_CSS = "KeyLine { height: auto; padding: 0 1; background: $panel; }"

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
        self.refresh(layout=True)

    def on_resize(self, event: events.Resize) -> None:
        self.refresh()

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        return len(self._lines(width))

    def render(self) -> Content:
        return Content("\n").join(map(_line, self._lines(self.content_size.width)))

    def _lines(self, width: int) -> list[list[Hint]]:
        shown = list(self._hints)
        while True:
            lines = _broken([*shown, *self._always], width)
            if len(lines) <= _MOST_LINES or not shown:
                return lines
            shown.pop()


def _broken(hints: Sequence[Hint], width: int) -> list[list[Hint]]:
    lines: list[list[Hint]] = [[]]
    for each in hints:
        if lines[-1] and _line([*lines[-1], each]).cell_length > width:
            lines.append([])
        lines[-1].append(each)
    return lines


def _line(hints: Sequence[Hint]) -> Content:
    parts = [Content.assemble((key, "bold $secondary"), f" {does}") for key, does in hints]
    return Content(_GAP).join(parts)
