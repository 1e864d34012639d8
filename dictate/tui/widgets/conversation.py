"""The words as they are heard, and what was made of the ones before."""

from __future__ import annotations

from textual import events
from textual.content import Content
from textual.widget import Widget

from dictate.tui.desk import Desk, Line
from dictate.tui.plain import visible
from dictate.tui.wording import HEARD_MARKS

_NOTE = 400


class Conversation(Widget):
    """The live words on the last line; as many older lines above as there is room for."""

    DEFAULT_CSS = """
    Conversation { height: 6; padding: 0 1; background: $surface; border-top: solid $line; }
    """

    def __init__(self) -> None:
        super().__init__()
        self._lines: list[Line] = []
        self._partial = ""

    def show_record(self, desk: Desk) -> None:
        self._lines = list(desk.lines)
        self.refresh()

    def show_partial(self, text: str) -> None:
        """Words of an utterance still being spoken; "" when it is over."""
        if text != self._partial:
            self._partial = text
            self.refresh()

    def on_resize(self, event: events.Resize) -> None:
        self.refresh()

    def render(self) -> Content:
        width, height = self.content_size
        live = _live(self._partial)
        lines = live.wrap(max(1, width))[-max(1, height) :]
        for line in reversed(self._lines):
            older = _said(line).wrap(max(1, width))
            if len(older) + len(lines) > height:
                break
            lines = [*older, *lines]
        blank = [Content("")] * (height - len(lines))
        return Content("\n").join([*blank, *lines])


def _live(partial: str) -> Content:
    if not partial:
        return Content.styled("…", "$muted")
    return Content.assemble(("… ", "bold $primary"), (visible(partial), "italic $muted"))


def _said(line: Line) -> Content:
    mark = HEARD_MARKS[line.kind]
    note = f"  {visible(line.note, _NOTE)}" if line.note else ""
    return Content.assemble(
        (f"{mark.symbol} {mark.word.ljust(9)} ", f"bold {mark.style}"),
        (f"“{visible(line.text)}”", "bold" if line.kind == "finding" else ""),
        (note, "$muted"),
    )
