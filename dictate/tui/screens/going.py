"""Going to a region, on a terminal too small to show the list all the time."""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.content import Content
from textual.widgets import Static

from dictate.exam.commands import GoTo
from dictate.exam.events import KEYBOARD, VOICE
from dictate.tui.screens.base import Dialog
from dictate.tui.screens.field import moves
from dictate.tui.screens.marking import MarkingDialog
from dictate.tui.spoken import Said
from dictate.tui.widgets.region_list import RegionList
from dictate.vocabulary.schema import Slot


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
                Content(
                    "enter or “open it”: go there   m or “mark this region”   escape or “close”"
                ),
                classes="hint",
            )

    def show_record(self) -> None:
        self.query_one(RegionList).show_record(self.desk)

    @on(RegionList.OptionSelected)
    def _go(self, event: RegionList.OptionSelected) -> None:
        event.stop()
        if event.option_id:
            self._go_to(event.option_id, KEYBOARD)

    def _go_to(self, region: str, actor: str = VOICE) -> None:
        if self.desk.do(GoTo(region=region), actor) is not None:
            self.dismiss(None)

    def meaning(self, said: Said) -> Callable[[], object] | None:
        if said.value == "mark":
            return self.action_mark
        named = said.term(Slot.REGION)
        if named is not None:
            return lambda: self._go_to(str(named.value))
        return moves(self.query_one(RegionList), said, self._go_to)

    def action_mark(self) -> None:
        region = self.query_one(RegionList).chosen()
        if region is not None:
            self.app.push_screen(MarkingDialog(region))
