"""Amending a final record: corrections, findings struck out or added, decisions; who and why."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.content import Content
from textual.widgets import Input, Static

from dictate.errors import ExamError
from dictate.exam.commands import Decide, ScreenAct
from dictate.exam.finding import Finding, FindingFields
from dictate.exam.names import LONGEST
from dictate.exam.session import Session
from dictate.tui.amendment import Amendment
from dictate.tui.cells import critical, description, site
from dictate.tui.plain import visible
from dictate.tui.screens.base import Speech
from dictate.tui.screens.chosen import Chosen
from dictate.tui.screens.deciding import DecisionDialog
from dictate.tui.screens.field import field_dialog
from dictate.tui.screens.finding import DraftDialog
from dictate.tui.screens.records import Attentive, RecordsScreen
from dictate.tui.screens.taking_down import TakesDown
from dictate.tui.spoken import Said
from dictate.tui.widgets.field_list import FieldList
from dictate.tui.widgets.key_line import Hint
from dictate.tui.widgets.row_list import Columns, Row, RowList
from dictate.vocabulary.schema import Slot

_COLUMNS = Columns(("Side", "Site", "Size", "Finding"), (9, 17, 12), (12, 30, 16))
_LONGEST_WHY = 300


class AmendingScreen(TakesDown, RecordsScreen[None]):
    """Nothing is recorded before ctrl+s with a name, which is never by voice; the version before
    stays readable. By voice it is put together: each value is shown before a yes takes it."""

    why_waits = (
        "a record is being amended: name a row, describe a finding that is missing, or close"
    )
    acts: ClassVar[frozenset[ScreenAct]] = RecordsScreen.acts | {"decide"}
    answers: ClassVar[frozenset[str]] = frozenset({"delete", "undo", "skip"})
    of_another = True
    free = ("why",)
    keys: ClassVar[tuple[Hint, ...]] = (
        ("ctrl+s", "Amend"),
        ("enter", "Correct"),
        ("d", "Strike out"),
        ("a", "Add"),
        ("c", "Decide"),
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("d", "strike", "Strike out"),
        Binding("a", "add", "Add a finding"),
        Binding("c", "decide", "Decide"),
        Binding("u", "drop", "Drop what was added"),
        Binding("ctrl+s", "amend", "Amend", priority=True),
    ]
    DEFAULT_CSS = """
    AmendingScreen #changes { height: auto; max-height: 6; color: $warning; }
    AmendingScreen Input { margin: 0; }
    """

    def __init__(self, session: Session) -> None:
        super().__init__()
        self._amendment = Amendment(session)

    def compose(self) -> ComposeResult:
        session = self._amendment.session
        whose = f"patient {session.patient}" if session.patient else "no patient"
        yield self.frame(
            f"Amend the visit of {session.examined_on}, {whose}",
            RowList(_COLUMNS, "The record has no findings; a adds one."),
            Static(id="changes"),
            Input(id="why", max_length=_LONGEST_WHY, placeholder="why it is amended"),
            Input(id="by", max_length=LONGEST, placeholder="who amends it: name or initials"),
            Static(classes="error"),
        )

    def load(self) -> None:
        self.query_one(RowList).show(list(_rows(self._amendment)))
        lines = [f"• {visible(each)}" for each in self._amendment.lines()]
        none = "Nothing is changed yet: enter on a finding corrects a field of it."
        self.query_one("#changes", Static).update(Content("\n".join(lines) or none))

    # What is changed

    def open_chosen(self, name: str | None) -> None:
        if name is not None:
            self.app.push_screen(AmendedFieldsDialog(self._amendment, name))

    def action_strike(self) -> None:
        name = self.query_one(RowList).chosen()
        if name is not None:
            self._amendment.strike(name)
            self.load()

    def action_add(self) -> None:
        self.app.push_screen(AddedDialog(self._amendment))

    def action_drop(self) -> None:
        if not self._amendment.drop_last_added():
            self.desk.tell("No finding was added.", warning=True)
        self.load()

    def action_decide(self) -> None:
        name = self.query_one(RowList).chosen()
        finding = self._amendment.finding(name or "")
        if finding is None:
            return
        state = self._amendment.session.state
        found = self._amendment.assessment(finding.id)
        made = self._amendment.session.decision(finding.id)
        dialog = AmendedDecisionDialog(finding, found, state, made)
        self.app.push_screen(dialog, self._decided)

    def _decided(self, command: Decide | None) -> None:
        if command is not None:
            self._amendment.decide(command)
            self.load()

    # By voice

    def act(self, act: ScreenAct) -> None:
        if act == "decide":
            self.action_decide()
        else:
            super().act(act)

    def answer(self, value: str) -> None:
        if value == "delete":
            self.action_strike()
        elif value == "skip":
            self.focus_next()
        elif not self.take_back():
            self.action_drop()

    def understand(self, said: Said) -> bool:
        """Words for the field that has the focus; else a finding that is missing."""
        if self.focused_field() is not None:
            return self.taken_down(said)
        fields = self.desk.examination.described(said.utterance.text)
        if fields is None:
            return False
        self.app.push_screen(AddedDialog(self._amendment, fields, said.utterance.text))
        return True

    # Making it

    @on(Input.Submitted)
    def _enter(self, event: Input.Submitted) -> None:
        if event.input.id == "by":
            self.action_amend()
        else:
            self.query_one("#by", Input).focus()

    def action_amend(self) -> None:
        why, by = (self.query_one(f"#{name}", Input).value for name in ("why", "by"))
        command = self._amendment.command(by, why)
        name = self._amendment.session.id
        new = self.read(lambda clinic: clinic.amend(name, command))
        if new is None:
            error = self.query_one(".error", Static)
            error.update(Content(visible(self.desk.notice.text)))
            error.display = True
            return
        self.exam_app.amended(new)
        self.desk.tell(f"Amended: version {new.version}. The version before stays readable.")
        self.dismiss(None)

    def unsaved(self) -> str:
        return "" if self._amendment.is_empty else "the amendment"


class AmendedFieldsDialog(Attentive[None]):
    """The fields of one finding as they will be."""

    why_waits = "a finding is being amended: name a field of it, or close"
    acts: ClassVar[frozenset[ScreenAct]] = frozenset({"row_down", "row_up", "open_row"})
    of_another = True
    DEFAULT_CSS = """
    AmendedFieldsDialog > .box { width: 96; height: 100%; max-height: 34; }
    AmendedFieldsDialog FieldList { height: 1fr; }
    """

    def __init__(self, amendment: Amendment, target: str) -> None:
        super().__init__()
        self._amendment, self._target = amendment, target

    def compose(self) -> ComposeResult:
        with Vertical(classes="box"):
            yield Static(Content(f"Amend finding {self._target}"), classes="title")
            yield FieldList()
            hint = "enter or its name corrects a field   escape or “close” goes back"
            yield Static(Content(hint), classes="hint")

    def show_record(self) -> None:
        self.query_one(FieldList).show_fields(self._amendment.finding(self._target))

    @on(FieldList.OptionSelected)
    def _chosen(self, event: FieldList.OptionSelected) -> None:
        event.stop()
        if event.option_id:
            self._ask(event.option_id)

    def _ask(self, name: str) -> None:
        finding = self._amendment.finding(self._target)
        if finding is not None:
            dialog = field_dialog(self, name, finding)
            self.app.push_screen(dialog, lambda chosen: self._correct(name, chosen))

    def act(self, act: ScreenAct) -> None:
        fields = self.query_one(FieldList)
        name = fields.chosen()
        if act == "open_row" and name:
            self._ask(name)
        elif act == "row_down":
            fields.action_cursor_down()
        elif act == "row_up":
            fields.action_cursor_up()

    def understand(self, said: Said) -> bool:
        named = said.term(Slot.FIELD)
        if named is None:
            return False
        self._ask(str(named.value))
        return True

    def _correct(self, name: str, chosen: Chosen | None) -> None:
        if chosen is None or chosen.keep:
            return
        try:
            self._amendment.correct(self._target, name, chosen.value)
        except ExamError as error:
            self.desk.tell(str(error), warning=True)
        self.show_record()


class AmendedDecisionDialog(DecisionDialog):
    """A decision that goes into the amendment."""

    of_another = True


class AddedDialog(DraftDialog):
    """A finding that goes into the amendment, not into the running examination."""

    hint = "enter or its name fills a field   ctrl+s or “yes” takes it   escape or “no” drops it"
    speech: ClassVar[Speech] = Speech.WAITS
    why_waits: ClassVar[str] = "a finding waits for the amendment: say yes to take it, or close"

    def __init__(
        self, amendment: Amendment, fields: FindingFields | None = None, said: str = ""
    ) -> None:
        """`fields`: what was said of it, to be read through; fields in doubt are left empty."""
        super().__init__(fields or FindingFields(), said=said)
        self._amendment = amendment

    def _record(self, actor: str) -> None:
        self._amendment.add(self._fields)
        self.dismiss(None)


def _rows(amendment: Amendment) -> Iterator[Row]:
    for each in amendment.session.findings:
        try:
            finding = amendment.finding(each.id) or each
        except ExamError:
            finding = each
        yield Row(each.id, _cells(finding, struck=amendment.is_struck(each.id)))


def _cells(finding: Finding, *, struck: bool) -> tuple[Content, ...]:
    what = description(finding)
    if struck:
        what = Content.styled("STRUCK OUT", "bold $error")
    name = Content.styled(finding.id, "bold $primary")
    side = Content("\n").join([critical(finding, "side"), name])
    return (side, site(finding), critical(finding, "size_mm"), what)
