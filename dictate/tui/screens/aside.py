"""What was said and made no finding: nothing said is lost."""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.content import Content
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from dictate.exam.events import UtteranceHeard
from dictate.exam.finding import FindingFields
from dictate.tui.plain import visible
from dictate.tui.screens.base import Dialog
from dictate.tui.screens.field import moves
from dictate.tui.screens.finding import DraftDialog, SpokenDraftDialog
from dictate.tui.screens.typing import TypingDialog
from dictate.tui.spoken import Said


class AsideDialog(Dialog[None]):
    """Enter makes a finding of an utterance; t types it anew with its words as a start."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("t", "retype", "Type it anew")]
    DEFAULT_CSS = """
    AsideDialog > .box { width: 110; height: 100%; max-height: 34; }
    AsideDialog OptionList { height: 1fr; }
    """

    def compose(self) -> ComposeResult:
        with Vertical(classes="box"):
            yield Static(Content("Put aside: said, but in no finding"), classes="title")
            yield OptionList()
            yield Static(
                Content(
                    "enter or “row two”: a finding of it   t: type it anew   escape or “close”"
                ),
                classes="hint",
            )

    def show_record(self) -> None:
        options = self.query_one(OptionList)
        at = options.highlighted or 0
        heard = self.desk.session.set_aside
        if heard:
            options.set_options(
                Option(_row(number, each), id=each.id) for number, each in enumerate(heard, 1)
            )
            options.highlighted = min(at, len(heard) - 1)
        else:
            options.set_options([Option(Content("Nothing was put aside."), disabled=True)])

    def chosen(self) -> UtteranceHeard | None:
        """The utterance under the cursor."""
        option = self.query_one(OptionList).highlighted_option
        name = option.id if option is not None else None
        return next((each for each in self.desk.session.set_aside if each.id == name), None)

    @on(OptionList.OptionSelected)
    def _promote(self) -> None:
        heard = self.chosen()
        if heard is not None:
            fields = FindingFields(region=self.desk.session.current_region, note=heard.text)
            self.app.push_screen(DraftDialog(fields, heard.id, heard.text))

    def meaning(self, said: Said) -> Callable[[], object] | None:
        heard = self.desk.session.set_aside
        if said.number is None:
            return moves(self.query_one(OptionList), said, self._take_up)
        if 1 <= said.number <= len(heard):
            name = heard[said.number - 1].id
            return lambda: self._take_up(name)
        return lambda: self.desk.tell(f"There is no row {said.number} here.", warning=True)

    def _take_up(self, name: str) -> None:
        """Show the finding that the words make: a yes records it."""
        options = self.query_one(OptionList)
        options.highlighted = options.get_option_index(name)
        heard = self.chosen()
        if heard is not None and heard.text:
            self.app.push_screen(SpokenDraftDialog.of(self.desk, heard))
        else:
            self.desk.tell("No word of it is known: say anew what was said.", warning=True)

    def action_retype(self) -> None:
        heard = self.chosen()
        if heard is not None:
            self.app.push_screen(TypingDialog(visible(heard.text)))


def _row(number: int, heard: UtteranceHeard) -> Content:
    words = f"“{visible(heard.text)}”" if heard.text else "(no words)"
    lines = [Content.assemble((f"{number:>2} ", "$muted"), (f"{heard.id}  {words}", "bold"))]
    if heard.not_understood:
        words = ", ".join(visible(each) for each in heard.not_understood)
        lines.append(Content.styled(f"    not understood: {words}", "$warning"))
    if heard.why:
        lines.append(Content.styled(f"    {visible(heard.why)}", "$muted"))
    return Content("\n").join(lines)
