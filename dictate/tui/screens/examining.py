"""The main screen: regions, findings as they grow, and the words as they are heard."""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal, Vertical
from textual.content import Content
from textual.widgets import OptionList, Static

from dictate.exam.commands import DeleteFinding, GoTo
from dictate.exam.finding import FindingFields
from dictate.exam.readback import finding_words
from dictate.tui.hearing import Hearing
from dictate.tui.keys import ALWAYS, bindings, hints
from dictate.tui.plain import visible
from dictate.tui.screens.asking import AskingDialog
from dictate.tui.screens.base import BaseScreen
from dictate.tui.screens.field import change_field, moves
from dictate.tui.screens.finding import DraftDialog, FindingDialog
from dictate.tui.screens.going import GoingDialog
from dictate.tui.screens.marking import MarkingDialog
from dictate.tui.spoken import Said
from dictate.tui.widgets.banner import Banner
from dictate.tui.widgets.caution import Caution
from dictate.tui.widgets.conversation import Conversation
from dictate.tui.widgets.earlier_panel import EarlierPanel
from dictate.tui.widgets.field_list import FieldList
from dictate.tui.widgets.findings_table import FindingsTable
from dictate.tui.widgets.key_line import KeyLine
from dictate.tui.widgets.notice_line import NoticeLine
from dictate.tui.widgets.region_list import RegionList
from dictate.tui.widgets.region_strip import RegionStrip
from dictate.tui.widgets.status_bar import StatusBar
from dictate.tui.widgets.step_prompt import StepPrompt


class ExaminingScreen(BaseScreen):
    """Columns on a wide terminal; on a small one the regions are a line and fields a dialog."""

    BINDINGS: ClassVar[list[BindingType]] = [*bindings()]
    AUTO_FOCUS = "FindingsTable OptionList"
    DEFAULT_CSS = """
    ExaminingScreen .panel { display: none; background: $surface; }
    ExaminingScreen #regions { width: 34; border-right: vkey $line; }
    ExaminingScreen #fields { width: 40; border-left: vkey $line; }
    ExaminingScreen .heading { height: 1; padding: 0 1; color: $secondary; text-style: bold; }
    ExaminingScreen .panel:focus-within .heading { color: $primary; text-style: bold reverse; }
    ExaminingScreen #said { height: auto; max-height: 8; padding: 0 1; color: $muted; }
    ExaminingScreen.-wide .panel { display: block; }
    ExaminingScreen.-wide RegionStrip { display: none; }
    ExaminingScreen.-wide Conversation { height: 13; }
    """

    def compose(self) -> ComposeResult:
        yield StatusBar()
        yield Banner()
        yield RegionStrip()
        with Horizontal():
            with Vertical(id="regions", classes="panel"):
                yield Static(Content("REGIONS"), classes="heading")
                yield RegionList()
            with Vertical():
                yield EarlierPanel()
                yield StepPrompt()
                yield FindingsTable()
                yield Conversation()
            with Vertical(id="fields", classes="panel"):
                yield Static(classes="heading")
                yield FieldList()
                yield Static(id="said")
        yield NoticeLine()
        yield Caution()
        yield KeyLine(hints(), ALWAYS)

    # What is shown

    def show_record(self) -> None:
        desk = self.desk
        self.query_one(StatusBar).show_record(desk)
        self.query_one(RegionStrip).show_record(desk)
        self.query_one(RegionList).show_record(desk)
        self.query_one(EarlierPanel).show_record(desk)
        self.query_one(StepPrompt).show_record(desk)
        self.query_one(FindingsTable).show_record(desk)
        self.query_one(Conversation).show_record(desk)
        self.query_one(NoticeLine).show(desk.notice, beside_conversation=True)
        self.show_hearing(self.exam_app.hearing)
        self._show_fields()

    def show_hearing(self, hearing: Hearing) -> None:
        self.query_one(StatusBar).show_hearing(hearing.mark(self.desk.session.paused))
        self.query_one(Banner).show(self.desk.problem, hearing.why)

    def follow(self) -> None:
        """Put the cursor on the newest finding."""
        self.query_one(FindingsTable).follow()

    def decides(self) -> str | None:
        """The finding that a decision is about."""
        return self._chosen()

    def _chosen(self) -> str | None:
        return self.query_one(FindingsTable).chosen()

    def _show_fields(self) -> None:
        finding = self.desk.session.finding(self._chosen() or "")
        self.query_one(FieldList).show_fields(finding)
        title = f"FINDING {finding.id}" if finding else "FINDING"
        self.query_one("#fields .heading", Static).update(Content(title))
        said = f"heard: “{visible(finding.said)}”" if finding and finding.said else ""
        self.query_one("#said", Static).update(Content(said))

    @on(OptionList.OptionHighlighted, "#rows")
    def _moved(self) -> None:
        self._show_fields()

    # What choosing does

    @on(OptionList.OptionSelected, "#rows")
    def action_edit(self) -> None:
        target = self._chosen()
        if target is not None:
            self.app.push_screen(FindingDialog(target))

    @on(RegionList.OptionSelected, "RegionList")
    def _go(self, event: RegionList.OptionSelected) -> None:
        if event.option_id:
            self.desk.do(GoTo(region=event.option_id))

    @on(FieldList.OptionSelected, "FieldList")
    def _change(self, event: FieldList.OptionSelected) -> None:
        target = self._chosen()
        if target is not None and event.option_id:
            change_field(self, target, event.option_id)

    # What words mean here alone

    def meaning(self, said: Said) -> Callable[[], object] | None:
        """ "Open finding two" opens F2; the cursor of the findings moves.

        "Open it" is said to patients, and opens nothing here.
        """
        if said.number is not None:
            target = f"f{said.number}"
            if self.desk.session.finding(target) is None:
                return lambda: self.desk.tell(f"There is no finding {said.number}.", warning=True)
            return lambda: self.app.push_screen(FindingDialog(target))
        if said.value == "open_row":
            return None
        return moves(self.query_one(FindingsTable).rows, said, lambda _: None)

    # What the keys do

    def action_go(self) -> None:
        if self.has_class("-wide"):
            self.query_one(RegionList).focus()
        else:
            self.app.push_screen(GoingDialog())

    def action_mark(self) -> None:
        regions = self.query_one(RegionList)
        region = regions.chosen() if regions.has_focus else self.desk.session.current_region
        if region is None:
            self.desk.tell("No region yet: go to one first (n or g).", warning=True)
        else:
            self.app.push_screen(MarkingDialog(region))

    def action_add(self) -> None:
        self.app.push_screen(DraftDialog(FindingFields(region=self.desk.session.current_region)))

    def action_delete(self) -> None:
        target = self._chosen()
        finding = self.desk.session.finding(target or "")
        if finding is not None:
            question = AskingDialog(f"Delete {finding.id}?", finding_words(finding))
            self.app.push_screen(question, lambda yes: self._delete(finding.id) if yes else None)

    def _delete(self, target: str) -> None:
        self.desk.do(DeleteFinding(target=target))
