"""All fields of one finding, recorded or still being made up."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import ClassVar, Self

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.content import Content
from textual.widgets import Static

from dictate.exam.commands import AddFinding, Promote, Undo
from dictate.exam.events import KEYBOARD, VOICE, UtteranceHeard
from dictate.exam.finding import FindingFields
from dictate.tui.desk import Desk
from dictate.tui.plain import visible
from dictate.tui.screens.base import Dialog, Speech
from dictate.tui.screens.chosen import Chosen
from dictate.tui.screens.field import asks_field, change_field, field_dialog, settle
from dictate.tui.spoken import Said
from dictate.tui.widgets.field_list import FieldList
from dictate.tui.widgets.notice_line import NoticeLine

_CSS = """
FieldsDialog > .box { width: 96; height: 100%; max-height: 34; }
FieldsDialog FieldList { height: 1fr; }
FieldsDialog #said { max-height: 3; }
"""


class FindingDialog(Dialog[None]):
    """A recorded finding. Each change is recorded at once, and undone one by one."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("k", "keep", "Keep as heard"),
        Binding("u", "undo", "Undo"),
    ]
    DEFAULT_CSS = _CSS.replace("FieldsDialog", "FindingDialog")

    def __init__(self, target: str) -> None:
        super().__init__()
        self._target = target

    def compose(self) -> ComposeResult:
        with Vertical(classes="box"):
            yield Static(classes="title")
            yield Static(id="said", classes="hint")
            yield FieldList()
            yield NoticeLine()
            yield Static(
                Content("enter or its name: change   k, “keep as heard”   u, “undo”   escape back"),
                classes="hint",
            )

    def show_record(self) -> None:
        finding = self.desk.session.finding(self._target)
        gone = Content("This finding is not in the record any more; u brings it back.")
        title = Content(f"Finding {self._target}") if finding else gone
        self.query_one(".title", Static).update(title)
        said = f"heard: “{visible(finding.said)}”" if finding and finding.said else ""
        self.query_one("#said", Static).update(Content(said))
        self.query_one(FieldList).show_fields(finding)
        self.query_one(NoticeLine).show(self.desk.notice)

    @on(FieldList.OptionSelected)
    def _chosen(self, event: FieldList.OptionSelected) -> None:
        event.stop()
        if event.option_id:
            self._change(event.option_id)

    def _change(self, name: str) -> None:
        change_field(self, self._target, name)

    def meaning(self, said: Said) -> Callable[[], object] | None:
        if said.value == "keep":
            return lambda: settle(self, self._target, self.query_one(FieldList).chosen(), VOICE)
        if said.value == "undo":
            return partial(self.desk.do, Undo(), VOICE)
        return asks_field(self.query_one(FieldList), said, self._change)

    def action_keep(self) -> None:
        settle(self, self._target, self.query_one(FieldList).chosen())

    def action_undo(self) -> None:
        self.exam_app.action_undo()


class DraftDialog(Dialog[None]):
    """A new finding, filled in by hand; recorded when it is taken, as one step."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("ctrl+s", "take", "Record", priority=True)]
    DEFAULT_CSS = _CSS.replace("FieldsDialog", "DraftDialog")
    hint = "enter or its name: fill   ctrl+s or “yes”: record   escape or “no”: drop"

    def __init__(self, fields: FindingFields, utterance: str | None = None, said: str = "") -> None:
        """`utterance`: the id of the one that was put aside and becomes this finding."""
        super().__init__()
        self._fields, self._utterance, self._said = fields, utterance, said

    def compose(self) -> ComposeResult:
        with Vertical(classes="box"):
            yield Static(Content("New finding"), classes="title")
            if self._said:
                yield Static(Content(f"heard: “{visible(self._said)}”"), id="said", classes="hint")
            yield FieldList()
            yield NoticeLine()
            yield Static(Content(self.hint), classes="hint")

    def show_record(self) -> None:
        self.query_one(FieldList).show_fields(self._fields)
        self.query_one(NoticeLine).show(self.desk.notice)

    @on(FieldList.OptionSelected)
    def _chosen(self, event: FieldList.OptionSelected) -> None:
        event.stop()
        if event.option_id:
            self._ask(event.option_id)

    def _ask(self, name: str) -> None:
        dialog = field_dialog(self, name, self._fields)
        self.app.push_screen(dialog, lambda chosen: self._fill(name, chosen))

    def meaning(self, said: Said) -> Callable[[], object] | None:
        answers: dict[str | None, Callable[[], object]] = {
            "confirm": lambda: self._record(VOICE),
            "reject": self.action_close,
            "close": self.action_close,
        }
        return answers.get(said.value) or asks_field(self.query_one(FieldList), said, self._ask)

    def _fill(self, name: str, chosen: Chosen | None) -> None:
        if chosen is not None:
            data = {**self._fields.model_dump(), name: chosen.value}
            self._fields = FindingFields.model_validate(data)
            self.show_record()

    def action_take(self) -> None:
        self._record(KEYBOARD)

    def _record(self, actor: str) -> None:
        command = (
            Promote(utterance=self._utterance, fields=self._fields)
            if self._utterance
            else AddFinding(fields=self._fields)
        )
        if self.desk.do(command, actor) is not None:
            self.exam_app.follow()
            self.dismiss(None)


class SpokenDraftDialog(DraftDialog):
    """A finding made of words that were put aside: a spoken yes records it.

    Other speech waits meanwhile: it must change neither this finding nor the last one.
    """

    speech: ClassVar[Speech] = Speech.WAITS

    @classmethod
    def of(cls, desk: Desk, heard: UtteranceHeard) -> Self:
        """What the words say by themselves; a place they do not name is asked for later."""
        fields = desk.examination.described(heard.text) or FindingFields(note=heard.text)
        return cls(fields, heard.id, heard.text)
