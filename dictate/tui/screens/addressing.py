"""To whom a letter goes, from whom, and what it asks: only the sender knows."""

from __future__ import annotations

from dataclasses import replace
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.content import Content
from textual.widgets import Input, Static

from dictate.export.letter import LetterDetails
from dictate.tui.screens.base import Dialog, Speech

_LONGEST = 300
_SPLIT = "; "


class LetterDialog(Dialog[LetterDetails]):
    """Result: the details with what was typed. What is left empty is a blank in the letter."""

    speech: ClassVar[Speech] = Speech.WAITS
    why_waits: ClassVar[str] = "a letter is being addressed: close it to dictate"
    BINDINGS: ClassVar[list[BindingType]] = [Binding("ctrl+s", "take", "Take", priority=True)]
    DEFAULT_CSS = """
    LetterDialog .label { height: 1; color: $secondary; }
    LetterDialog Input { margin: 0 0 1 0; }
    """

    def __init__(self, details: LetterDetails) -> None:
        super().__init__()
        self._details = details

    def compose(self) -> ComposeResult:
        known = self._details
        with Vertical(classes="box"):
            yield Static(Content("Address the letter"), classes="title")
            yield _label("To: name and address, lines parted by ;")
            yield Input(_SPLIT.join(known.recipient), id="to", max_length=_LONGEST)
            yield _label("From: name and address, lines parted by ;")
            yield Input(_SPLIT.join(known.sender), id="from", max_length=_LONGEST)
            yield _label("What is asked")
            yield Input(known.request, id="ask", max_length=_LONGEST)
            yield Static(
                Content("enter goes on   ctrl+s takes it   escape goes back"), classes="hint"
            )

    @on(Input.Submitted)
    def _enter(self, event: Input.Submitted) -> None:
        if event.input.id == "ask":
            self.action_take()
        else:
            self.focus_next()

    def action_take(self) -> None:
        clinic = self.exam_app.clinic
        details = replace(
            self._details,
            recipient=self._lines("to"),
            sender=self._lines("from"),
            request=self.query_one("#ask", Input).value.strip(),
            written=clinic.today() if clinic is not None else self._details.written,
        )
        self.dismiss(details)

    def _lines(self, name: str) -> tuple[str, ...]:
        text = self.query_one(f"#{name}", Input).value
        return tuple(filter(None, (each.strip() for each in text.split(";"))))


def _label(text: str) -> Static:
    return Static(Content(text), classes="label")
