"""The program's latest answer."""

from __future__ import annotations

from textual.content import Content
from textual.widgets import Static

from dictate.tui.desk import Notice
from dictate.tui.plain import visible


class NoticeLine(Static):
    """One or two lines, so that an answer is read whole at 80 columns too."""

    DEFAULT_CSS = """
    NoticeLine { height: auto; max-height: 2; min-height: 1; padding: 0 1; }
    """

    def show(self, notice: Notice, *, beside_conversation: bool = False) -> None:
        """Show it, unless the conversation on the same screen says it already."""
        if beside_conversation and notice.in_lines:
            self.update("")
            return
        mark, style = ("!", "bold $warning") if notice.warning else ("›", "$primary")
        text = f"{mark} {visible(notice.text)}" if notice.text else ""
        self.update(Content.styled(text, style))
