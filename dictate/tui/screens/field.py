"""Asking for a field's value, and changing a recorded finding by the answer."""

from __future__ import annotations

from dictate.exam.commands import ChangeField, SettleField
from dictate.exam.finding import FindingFields
from dictate.tui.screens.base import Shown
from dictate.tui.screens.choosing import ChoosingDialog
from dictate.tui.screens.chosen import Chosen
from dictate.tui.screens.writing import WritingDialog, is_written


def field_dialog(screen: Shown, name: str, fields: FindingFields) -> ChoosingDialog | WritingDialog:
    """The dialog that asks for that field."""
    if is_written(name):
        return WritingDialog(name, fields)
    return ChoosingDialog(name, fields, screen.desk.lexicon)


def change_field(screen: Shown, target: str, name: str) -> None:
    """Ask for a new value of a recorded finding's field and record it."""
    finding = screen.desk.session.finding(target)
    if finding is None or screen.desk.session.is_final:
        screen.desk.tell("A final record is not changed here; it needs an amendment.", warning=True)
        return

    def answered(chosen: Chosen | None) -> None:
        if chosen is None:
            return
        if chosen.keep:
            screen.desk.do(SettleField(target=target, field=name))
        else:
            screen.desk.do(ChangeField(target=target, field=name, value=chosen.value))

    screen.exam_app.push_screen(field_dialog(screen, name, finding), answered)


def settle(screen: Shown, target: str | None, name: str | None) -> None:
    """Keep a doubted field as it was heard."""
    if target and name:
        screen.desk.do(SettleField(target=target, field=name))
