"""A line that shows only when something is wrong: deafness, or a record not saved."""

from __future__ import annotations

from textual.content import Content
from textual.widgets import Static

from dictate.tui.plain import visible


class Banner(Static):
    """Hidden while there is nothing to say."""

    DEFAULT_CSS = """
    Banner { height: auto; max-height: 3; padding: 0 1; display: none; }
    Banner { color: $error; background: $error 12%; text-style: bold; }
    """

    def show(self, *warnings: str | None) -> None:
        """Show the warnings that are there, each on a line of its own."""
        lines = [f"! {visible(each)}" for each in warnings if each]
        self.display = bool(lines)
        self.update(Content("\n".join(lines)))
