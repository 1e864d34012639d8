"""Typing what could also be said."""

from __future__ import annotations

from textual import on
from textual.app import ComposeResult
from textual.containers import Vertical
from textual.content import Content
from textual.widgets import Input, Static

from dictate.tui.screens.base import Dialog
from dictate.tui.widgets.notice_line import NoticeLine

_LONGEST = 400


class TypingDialog(Dialog[None]):
    """Stays open, so that a whole examination can be typed line by line."""

    DEFAULT_CSS = """
    TypingDialog { align: center bottom; background: $background 0%; }
    TypingDialog > .box { width: 100%; }
    """

    def __init__(self, text: str = "") -> None:
        super().__init__()
        self._text = text

    def compose(self) -> ComposeResult:
        with Vertical(classes="box"):
            yield Static(Content("Type it as you would say it"), classes="title")
            yield Input(
                value=self._text,
                max_length=_LONGEST,
                placeholder="white plaque left lateral border of the tongue ten by six millimetres",
            )
            yield NoticeLine()
            yield Static(Content("enter takes the line   escape goes back"), classes="hint")

    def show_record(self) -> None:
        self.query_one(NoticeLine).show(self.desk.notice)

    @on(Input.Submitted)
    def _enter(self, event: Input.Submitted) -> None:
        if event.value.strip():
            event.input.clear()
            self.exam_app.after_words(self.desk.type(event.value))
            self.exam_app.follow()
