"""The words as they are heard, and what was made of the ones before."""

from __future__ import annotations

from textual import events
from textual.app import ComposeResult
from textual.containers import Vertical
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from dictate.tui.columns import GAP, lay_out
from dictate.tui.desk import Desk, Line
from dictate.tui.plain import visible
from dictate.tui.wording import HEARD_MARKS

_MARK = 11
"""Cells for what became of a line."""
_NOTE = 400
_LIVE = 600
"""Most characters of an utterance shown live; its end is what matters while it grows."""


class Conversation(Vertical):
    """What was said before, and below it the words being spoken now."""

    DEFAULT_CSS = """
    Conversation { height: 6; background: $surface; border-top: solid $line; }
    Conversation Said { height: 1fr; padding: 0 1; }
    Conversation #live { height: auto; max-height: 3; padding: 0 1; background: $panel; }
    """

    def __init__(self) -> None:
        super().__init__()
        self._said = Said()
        self._live = Static(_live(""), id="live")

    def compose(self) -> ComposeResult:
        yield self._said
        yield self._live

    def show_record(self, desk: Desk) -> None:
        self._said.show_lines(list(desk.lines))

    def show_live(self, text: str) -> None:
        """Words of an utterance still being spoken; "" when it is over."""
        self._live.update(_live(text))


class Said(Widget):
    """As many of the latest lines as there is room for, each whole."""

    def __init__(self) -> None:
        super().__init__()
        self._lines: list[Line] = []

    def show_lines(self, lines: list[Line]) -> None:
        self._lines = lines
        self.refresh()

    def on_resize(self, event: events.Resize) -> None:
        self.refresh()

    def render(self) -> Content:
        width, height = max(1, self.content_size.width), self.content_size.height
        shown: list[Content] = []
        for line in reversed(self._lines):
            wrapped = _said(line, width).split("\n")
            if shown and len(wrapped) + len(shown) > height:
                break
            shown = [*wrapped, *shown][-max(1, height) :]
        return Content("\n").join([*[Content("")] * (height - len(shown)), *shown])


def _live(text: str) -> Content:
    if not text:
        return Content.styled("…", "$muted")
    shown = visible(text)
    shown = shown if len(shown) <= _LIVE else "…" + shown[-_LIVE:]
    return Content.assemble(("… ", "bold $primary"), (shown, "italic $muted"))


def _said(line: Line, width: int) -> Content:
    mark = HEARD_MARKS[line.kind]
    head = Content.styled(f"{mark.symbol} {mark.word}", f"bold {mark.style}")
    words = Content.styled(f"“{visible(line.text)}”", _STYLES.get(line.kind, ""))
    note = Content.styled(visible(line.note, _NOTE), "$muted")
    said = Content("  ").join(
        part for part, there in ((words, line.text), (note, line.note)) if there
    )
    return lay_out((head, said), (_MARK, max(8, width - _MARK - GAP)))


_STYLES = {"finding": "bold", "normal": "bold"}
