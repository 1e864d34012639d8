"""The right identifier of the patient, for a draft that was begun under another."""

from __future__ import annotations

from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.containers import Vertical
from textual.content import Content
from textual.widgets import Input, OptionList, Static
from textual.widgets.option_list import Option

from dictate.errors import DictateError
from dictate.exam.patients import LONGEST, Patient, who
from dictate.tui.plain import visible
from dictate.tui.screens.base import Dialog, Speech


class IdentifierDialog(Dialog[str]):
    """Result: the identifier. It is typed or chosen, never spoken."""

    speech: ClassVar[Speech] = Speech.RECORD
    DEFAULT_CSS = """
    IdentifierDialog OptionList { height: auto; max-height: 8; }
    """

    def compose(self) -> ComposeResult:
        now = self.desk.session.patient or ""
        with Vertical(classes="box"):
            yield Static(Content("The right identifier"), classes="title")
            yield Static(
                Content(f"The draft is now of {visible(now)}. It goes on under the other.")
            )
            yield Input(max_length=LONGEST, placeholder="the clinic's own identifier")
            yield OptionList(*(Option(visible(who(each)), id=each.id) for each in self._alike(now)))
            yield Static(classes="error")
            yield Static(
                Content("enter takes it   tab: those it looks like   escape leaves it"),
                classes="hint",
            )

    def _alike(self, identifier: str) -> tuple[Patient, ...]:
        clinic = self.exam_app.clinic
        try:
            return clinic.alike(identifier) if clinic is not None else ()
        except DictateError:
            return ()

    @on(Input.Submitted)
    def _typed(self, event: Input.Submitted) -> None:
        if event.value.strip():
            self.dismiss(event.value)

    @on(OptionList.OptionSelected)
    def _chosen(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        self.dismiss(event.option_id)
