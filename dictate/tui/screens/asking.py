"""A question with yes or no, answered by key; by voice only where voice asked for it."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.content import Content
from textual.widgets import Static

from dictate.tui.plain import visible
from dictate.tui.screens.base import Dialog


class AskingDialog(Dialog[bool]):
    """Result True for yes; False for no or escape."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("y", "yes", "Yes"),
        Binding("n,escape", "no", "No", priority=True),
    ]

    _keys = "\ny  yes      n or escape  no"

    def __init__(self, question: str, details: str = "") -> None:
        super().__init__()
        self._question, self._details = question, details

    def compose(self) -> ComposeResult:
        with Vertical(classes="box"):
            yield Static(Content(visible(self._question)), classes="title")
            if self._details:
                yield Static(Content(visible(self._details)))
            yield Static(Content(self._keys), classes="hint")

    def action_yes(self) -> None:
        self.dismiss(True)

    def action_no(self) -> None:
        self.dismiss(False)


class SpokenAskingDialog(AskingDialog):
    """The same, which a spoken yes or no answers too."""

    answers: ClassVar[frozenset[str]] = frozenset({"confirm", "reject"})
    _keys = "\ny or “yes”      n, escape or “no”"
    spoken = False
    """True if the answer was spoken."""

    def answer(self, value: str) -> None:
        self.spoken = True
        self.dismiss(value == "confirm")
