"""Going to a region, on a terminal too small to show the list all the time."""

from __future__ import annotations

from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.content import Content
from textual.widgets import Static

from dictate.exam.commands import GoTo
from dictate.tui.screens.base import Dialog
from dictate.tui.screens.marking import MarkingDialog
from dictate.tui.widgets.region_list import RegionList


class GoingDialog(Dialog[None]):
    """All regions and their states."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("m", "mark", "Mark")]
    DEFAULT_CSS = """
    GoingDialog > .box { height: 100%; max-height: 30; }
    """

    def compose(self) -> ComposeResult:
        with Vertical(classes="box"):
            yield Static(Content("Regions, in the order of the examination"), classes="title")
            yield RegionList()
            yield Static(
                Content("enter goes there   m marks it   escape goes back"), classes="hint"
            )

    def show_record(self) -> None:
        self.query_one(RegionList).show_record(self.desk)

    @on(RegionList.OptionSelected)
    def _go(self, event: RegionList.OptionSelected) -> None:
        event.stop()
        if event.option_id and self.desk.do(GoTo(region=event.option_id)) is not None:
            self.dismiss(None)

    def action_mark(self) -> None:
        region = self.query_one(RegionList).chosen()
        if region is not None:
            self.app.push_screen(MarkingDialog(region))
