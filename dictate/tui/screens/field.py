"""Asking for a field's value, and changing a recorded finding by the answer."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from textual.widgets import OptionList

from dictate.exam.commands import ChangeField, SettleField
from dictate.exam.events import KEYBOARD
from dictate.exam.finding import FindingFields
from dictate.tui.screens.base import Shown
from dictate.tui.screens.choosing import ChoosingDialog
from dictate.tui.screens.chosen import Chosen
from dictate.tui.screens.writing import WritingDialog, is_written
from dictate.tui.spoken import Said
from dictate.tui.widgets.field_list import FieldList
from dictate.vocabulary.schema import Slot


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
            screen.desk.do(SettleField(target=target, field=name), chosen.actor)
        else:
            change = ChangeField(target=target, field=name, value=chosen.value)
            screen.desk.do(change, chosen.actor)

    screen.exam_app.push_screen(field_dialog(screen, name, finding), answered)


def settle(screen: Shown, target: str | None, name: str | None, actor: str = KEYBOARD) -> None:
    """Keep a doubted field as it was heard."""
    if target and name:
        screen.desk.do(SettleField(target=target, field=name), actor)


def asks_field(
    fields: FieldList, said: Said, ask: Callable[[str], None]
) -> Callable[[], object] | None:
    """What words mean in a list of fields: a field's name asks for it, and moving moves."""
    named = said.term(Slot.FIELD)
    if named is not None:
        return partial(ask, str(named.value))
    return moves(fields, said, ask)


def moves(
    options: OptionList, said: Said, choose: Callable[[str], object]
) -> Callable[[], object] | None:
    """What words mean in any list: the cursor down or up, and choosing what is under it."""
    if said.value in ("row_down", "row_up"):
        return options.action_cursor_down if said.value == "row_down" else options.action_cursor_up
    chosen = options.highlighted_option
    if said.value == "open_row" and chosen is not None and chosen.id is not None:
        return partial(choose, chosen.id)
    return None
