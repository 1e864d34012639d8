"""What the screens of the clinic's records share: they lie over the examination, which goes on."""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar, TypeVar

from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.content import Content
from textual.widget import Widget
from textual.widgets import OptionList, Static

from dictate.errors import DictateError
from dictate.exam.commands import ScreenAct
from dictate.pipeline.clinic import Clinic
from dictate.tui.desk import Notice
from dictate.tui.plain import visible
from dictate.tui.screens.asking import AskingDialog
from dictate.tui.screens.base import Dialog, Result, Speech
from dictate.tui.spoken import Said
from dictate.tui.widgets.key_line import Hint, KeyLine
from dictate.tui.widgets.notice_line import NoticeLine
from dictate.tui.widgets.row_list import RowList

Read = TypeVar("Read")


class Attentive(Dialog[Result]):
    """A dialog that takes words of its own, and keeps all others from the record.

    They are put aside, to be taken up later: nothing said is lost.
    """

    speech: ClassVar[Speech] = Speech.WAITS
    why_waits: ClassVar[str] = "a dialog is on the screen: close it to dictate"
    acts: ClassVar[frozenset[ScreenAct]] = frozenset()
    """What can be asked of this screen by voice."""
    of_another: ClassVar[bool] = False
    """True where what is understood belongs to a kept record: it is shown, and not written down
    with the examination that goes on."""

    def act(self, act: ScreenAct) -> None:
        """Do one of `acts`."""

    def open_numbered(self, number: int) -> None:
        """Open the row of that number."""
        self.desk.tell("There is no list here.", warning=True)

    def hear(self, words: tuple[str, ...]) -> bool:
        """Take words that mean something to this screen alone; False when they do not."""
        return False

    def understand(self, said: Said) -> bool:
        """The same, for a screen that wants more of the utterance than its words."""
        return self.hear(said.words)


class RecordsScreen(Attentive[Result]):
    """Fills the terminal. What is dictated meanwhile is put aside: it may be about the patient
    on the screen, who need not be the one in the chair."""

    why_waits = "the clinic's records are on the screen: go back to the examination to dictate"
    acts: ClassVar[frozenset[ScreenAct]] = frozenset({"row_down", "row_up", "open_row"})
    keys: ClassVar[tuple[Hint, ...]] = (("enter", "Open"),)
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f8", "to_examination", "To the examination", priority=True)
    ]
    DEFAULT_CSS = """
    RecordsScreen > .box { width: 100%; height: 100%; }
    RecordsScreen .about { height: auto; color: $foreground; }
    RecordsScreen KeyLine { padding: 0; }
    RecordsScreen NoticeLine { padding: 0; }
    """

    _before = Notice("")

    def frame(self, title: str, *parts: Widget) -> Vertical:
        """The box with its title, parts, the program's answer and the keys."""
        self._before = self.desk.notice
        return Vertical(
            Static(Content(visible(title)), classes="title"),
            *parts,
            NoticeLine(),
            KeyLine(self.hints(), (("F1", "Help"), ("F8", self.exam_app.beneath), ("esc", "Back"))),
            classes="box",
        )

    def hints(self) -> tuple[Hint, ...]:
        """The keys that matter here."""
        return self.keys

    # What is shown

    def on_screen_resume(self) -> None:
        """Read anew whenever it comes on top: what lay over it may have changed a record."""
        self.load()

    def load(self) -> None:
        """Read from the store and show; failures are told."""

    def show_record(self) -> None:
        # What was told before is of the examination, and would read as of the patient shown here.
        new = self.desk.notice is not self._before
        self.query_one(NoticeLine).show(self.desk.notice if new else Notice(""))
        going = self.exam_app.going_on()
        self.query_one(".box", Vertical).border_title = visible(going) if going else None

    def retitle(self, title: str) -> None:
        """Another title."""
        self.query_one(".title", Static).update(Content(visible(title)))

    def read(self, ask: Callable[[Clinic], Read]) -> Read | None:
        """What the clinic's records answer; a failure is told, and None stands for it."""
        clinic = self.exam_app.clinic
        if clinic is None:
            self.desk.tell("No records are kept beside this examination.", warning=True)
            return None
        try:
            found = ask(clinic)
        except DictateError as error:
            self.desk.tell(str(error), warning=True)
            return None
        if clinic.problems:
            self.desk.tell(clinic.problems[0], warning=True)
        return found

    # What keys and words do

    def unsaved(self) -> str:
        """What would be lost by closing ("the amendment"); "" for nothing."""
        return ""

    def action_close(self) -> None:
        lost = self.unsaved()
        if lost:
            question = AskingDialog(f"Drop {lost}?", "Nothing of it is recorded yet.")
            self.app.push_screen(question, self._dropped)
        else:
            self.dismiss(None)

    def _dropped(self, yes: bool | None) -> None:
        if yes:
            self.dismiss(None)

    def action_to_examination(self) -> None:
        self.exam_app.to_examination()

    def act(self, act: ScreenAct) -> None:
        rows = self.query(RowList).first() if self.query(RowList) else None
        if rows is None:
            self.desk.tell("There is no list here.", warning=True)
        elif act == "open_row":
            self.open_chosen(rows.chosen())
        else:
            rows.move(1 if act == "row_down" else -1)

    def open_numbered(self, number: int) -> None:
        rows = self.query(RowList).first() if self.query(RowList) else None
        name = rows.numbered(number) if rows is not None else None
        if name is None:
            self.desk.tell(f"There is no row {number} here.", warning=True)
        else:
            self.open_chosen(name)

    def open_chosen(self, name: str | None) -> None:
        """What enter does on a row; `name` is its id."""

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        self.open_chosen(event.option_id)
