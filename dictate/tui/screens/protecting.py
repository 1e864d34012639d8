"""Asking for the passphrase that a PDF is to open with: typed twice, never spoken."""

from __future__ import annotations

from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.containers import Vertical
from textual.content import Content
from textual.widgets import Input, Static

from dictate.tui.plain import visible
from dictate.tui.screens.base import Dialog, Speech
from dictate.tui.widgets.passphrase_field import PassphraseField


class ProtectDialog(Dialog[str]):
    """Result the passphrase; None where the document is to stay open."""

    speech: ClassVar[Speech] = Speech.WAITS
    why_waits: ClassVar[str] = "a passphrase is being typed: close it to dictate"

    def compose(self) -> ComposeResult:
        with Vertical(classes="box"):
            yield Static(Content("Protect the PDF"), classes="title")
            yield Static(
                Content(
                    "Whoever is to read it needs this passphrase: tell it in another way than the "
                    "file goes. It is kept nowhere; without it the file stays closed."
                )
            )
            yield PassphraseField("passphrase of the PDF")
            yield PassphraseField("the same again")
            yield Static(classes="error")
            yield Static(Content("enter takes it   escape goes back"), classes="hint")

    @on(Input.Submitted)
    def _enter(self, event: Input.Submitted) -> None:
        first, second = self.query(PassphraseField)
        if event.input is first:
            second.focus()
            return
        why = _refused(first.value, second.value)
        if not why:
            self.dismiss(first.value)
            return
        second.clear()
        first.clear()
        first.focus()
        error = self.query_one(".error", Static)
        error.update(Content(visible(why)))
        error.display = True


def _refused(first: str, second: str) -> str:
    """Why that is no passphrase to protect a document with; "" where it is one."""
    from dictate.export.pdf.protect import SHORTEST  # takes its time to import

    if len(first) < SHORTEST:
        return f"The passphrase is shorter than {SHORTEST} characters; choose a longer one."
    return "" if first == second else "The two are not the same; type both again."
