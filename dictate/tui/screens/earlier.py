"""The open lesions of earlier visits: what became of each is told by key as it is by voice."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.content import Content
from textual.widgets import OptionList, Static

from dictate.exam.commands import Command, FollowLesion, LeaveLesion, ResolveLesion, Undo
from dictate.exam.events import KEYBOARD, VOICE
from dictate.exam.finding import FindingFields
from dictate.exam.following import LesionToday
from dictate.tui.earlier import lesion_cells
from dictate.tui.screens.base import Dialog
from dictate.tui.screens.chosen import Chosen
from dictate.tui.screens.field import moves
from dictate.tui.screens.lesion import LesionScreen
from dictate.tui.screens.marking import ReasonDialog
from dictate.tui.screens.typing import TypingDialog
from dictate.tui.screens.writing import WritingDialog
from dictate.tui.spoken import Said
from dictate.tui.widgets.notice_line import NoticeLine
from dictate.tui.widgets.row_list import Columns, Row, RowList

_COLUMNS = Columns(("Side", "Lesion", "Size then", "Today"), (9, 22, 16), (10, 40, 20))


class EarlierDialog(Dialog[None]):
    """Dictation goes on: "lesion two same as last time" is heard here too."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("s", "same", "Same as last time"),
        Binding("c", "size", "New size"),
        Binding("r", "resolved", "Resolved"),
        Binding("x", "left", "Not looked at"),
        Binding("t", "words", "In words"),
        Binding("u", "app.undo", "Undo"),
    ]
    DEFAULT_CSS = """
    EarlierDialog > .box { width: 124; height: 100%; max-height: 34; }
    """

    def compose(self) -> ComposeResult:
        with Vertical(classes="box"):
            yield Static(Content("Open lesions of earlier visits"), classes="title")
            yield RowList(_COLUMNS, "No lesion of an earlier visit is open.")
            yield NoticeLine()
            yield Static(
                Content(
                    "s same as last time   c new size   r resolved   x not looked at   "
                    "t in words   enter history   u undo   escape back\n"
                    "or say: “lesion one same as last time”, “lesion two smaller, six by four”, "
                    "“lesion three resolved”"
                ),
                classes="hint",
            )

    def show_record(self) -> None:
        self.query_one(RowList).show(list(_rows(self.desk.session.lesions)))
        self.query_one(NoticeLine).show(self.desk.notice)

    def _chosen(self) -> LesionToday | None:
        name = self.query_one(RowList).chosen()
        return next((each for each in self.desk.session.lesions if each.lesion.id == name), None)

    def meaning(self, said: Said) -> Callable[[], object] | None:
        if said.value == "undo":
            return partial(self.desk.do, Undo(), VOICE)
        rows = self.query_one(RowList)
        if said.number is not None and said.number <= len(self.desk.session.lesions):
            return lambda: self._show_history(rows.numbered(said.number or 0))
        return moves(rows.options, said, self._show_history)

    def _do(self, command: Command, actor: str = KEYBOARD) -> None:
        """Carry it out and go on to the next lesion that nothing was said of."""
        if self.desk.do(command, actor) is None:
            return
        rows, lesions = self.query_one(RowList), self.desk.session.lesions
        waiting = [n for n, each in enumerate(lesions, 1) if each.status == "not mentioned"]
        if waiting:
            rows.numbered(waiting[0])

    def action_same(self) -> None:
        chosen = self._chosen()
        if chosen is not None:
            self._do(FollowLesion(lesion=chosen.lesion.id, what="same"))

    def action_resolved(self) -> None:
        chosen = self._chosen()
        if chosen is not None:
            self._do(ResolveLesion(lesion=chosen.lesion.id))

    def action_size(self) -> None:
        chosen = self._chosen()
        if chosen is not None:
            name = chosen.lesion.id
            dialog = WritingDialog("size_mm", chosen.lesion.fields)
            self.app.push_screen(dialog, lambda size: self._sized(name, size))

    def _sized(self, lesion: str, size: Chosen | None) -> None:
        if size is not None:
            fields = FindingFields.model_validate({"size_mm": size.value})
            self._do(FollowLesion(lesion=lesion, what="changed", fields=fields), size.actor)

    def action_left(self) -> None:
        chosen = self._chosen()
        if chosen is not None:
            name = chosen.lesion.id
            dialog = ReasonDialog(f"{chosen.lesion.label}, {chosen.lesion.fields.region or ''}")
            self.app.push_screen(dialog, lambda reason: self._left(name, reason, dialog.actor))

    def _left(self, lesion: str, reason: str | None, actor: str) -> None:
        if reason is not None:
            self._do(LeaveLesion(lesion=lesion, reason=reason or None), actor)

    def action_words(self) -> None:
        chosen = self._chosen()
        if chosen is not None:
            self.app.push_screen(TypingDialog(f"lesion {chosen.lesion.number} "))

    @on(OptionList.OptionSelected)
    def _history(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        self._show_history(event.option_id)

    def _show_history(self, lesion: str | None) -> None:
        patient = self.desk.session.patient
        if lesion is not None and patient is not None and self.exam_app.clinic is not None:
            self.app.push_screen(LesionScreen(patient, lesion))


def _rows(lesions: tuple[LesionToday, ...]) -> Iterator[Row]:
    for each in lesions:
        yield Row(each.lesion.id, lesion_cells(each))
