"""Signing: the examiner's name or initials, typed. Speech does nothing here."""

from __future__ import annotations

from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.containers import Vertical
from textual.content import Content
from textual.widgets import Input, Static

from dictate.exam.commands import Sign
from dictate.exam.names import LONGEST
from dictate.tui.plain import visible
from dictate.tui.screens.base import Dialog, Speech
from dictate.tui.wording import CAUTION, counted


class SigningDialog(Dialog[None]):
    """Closes when the record is final."""

    speech: ClassVar[Speech] = Speech.HELD

    def compose(self) -> ComposeResult:
        examination = self.desk.examination
        refused = examination.why_unsigned()
        findings = counted(len(self.desk.session.findings), "finding")
        with Vertical(classes="box"):
            yield Static(Content("Sign the record"), classes="title")
            yield Static(
                Content(
                    f"{findings}, every question decided. Once signed the record is final; "
                    "a later correction is an amendment."
                )
            )
            yield Input(
                "" if refused else examination.signer or "",
                placeholder="examiner's name or initials",
                max_length=LONGEST,
            )
            error = Static(Content(visible(refused or "")), classes="error")
            error.display = refused is not None
            yield error
            yield Static(
                Content("enter signs   escape goes back   nothing said is heard here"),
                classes="hint",
            )
            yield Static(Content(CAUTION), classes="hint")

    @on(Input.Submitted)
    def _sign(self, event: Input.Submitted) -> None:
        if self.desk.do(Sign(examiner=event.value)) is not None:
            self.dismiss(None)
            return
        why = self.desk.examination.why_unsigned() or self.desk.notice.text
        error = self.query_one(".error", Static)
        error.update(Content(visible(why)))
        error.display = True
