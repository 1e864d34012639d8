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
from dictate.exam.commands import Decide
from dictate.exam.finding import Finding, FindingFields
from dictate.exam.names import LONGEST
from dictate.exam.session import Session
from dictate.tui.amendment import Amendment
from dictate.tui.cells import critical, description, site
from dictate.tui.plain import visible
from dictate.tui.screens.chosen import Chosen
from dictate.tui.screens.deciding import DecisionDialog
from dictate.tui.screens.field import field_dialog
from dictate.tui.screens.finding import DraftDialog
from dictate.tui.screens.records import Attentive, RecordsScreen
from dictate.tui.widgets.field_list import FieldList
from dictate.tui.widgets.key_line import Hint
from dictate.tui.widgets.row_list import Columns, Row, RowList

_COLUMNS = Columns(("Side", "Site", "Size", "Finding"), (9, 17, 12), (12, 30, 16))
_LONGEST_WHY = 300


class AmendingScreen(RecordsScreen[None]):
    """Never by voice. Nothing is recorded before ctrl+s; the version before stays readable."""

    why_waits = "a record is being amended: that is never done by voice"
    acts = frozenset()
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
        dialog = DecisionDialog(finding, found, state, made, by_voice=False)
        self.app.push_screen(dialog, self._decided)

    def _decided(self, command: Decide | None) -> None:
        if command is not None:
            self._amendment.decide(command)
            self.load()

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

    why_waits = AmendingScreen.why_waits
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
            yield Static(Content("enter corrects a field   escape back"), classes="hint")

    def show_record(self) -> None:
        self.query_one(FieldList).show_fields(self._amendment.finding(self._target))

    @on(FieldList.OptionSelected)
    def _chosen(self, event: FieldList.OptionSelected) -> None:
        event.stop()
        name = event.option_id
        finding = self._amendment.finding(self._target)
        if name and finding is not None:
            dialog = field_dialog(self, name, finding)
            self.app.push_screen(dialog, lambda chosen: self._correct(name, chosen))

    def _correct(self, name: str, chosen: Chosen | None) -> None:
        if chosen is None or chosen.keep:
            return
        try:
            self._amendment.correct(self._target, name, chosen.value)
        except ExamError as error:
            self.desk.tell(str(error), warning=True)
        self.show_record()


class AddedDialog(DraftDialog):
    """A finding that goes into the amendment, not into the running examination."""

    hint = "enter fills a field   ctrl+s takes the finding   escape drops it"

    def __init__(self, amendment: Amendment) -> None:
        super().__init__(FindingFields())
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
