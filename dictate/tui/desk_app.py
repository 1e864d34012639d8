"""The clinic's records at a desk: no microphone, no examination."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar

from textual.app import ComposeResult, SystemCommand
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.content import Content
from textual.screen import Screen
from textual.widgets import Static

from dictate.errors import DictateError
from dictate.exam.protocol import Protocol
from dictate.exam.session import Session
from dictate.matching.matcher import Matcher
from dictate.pipeline.clinic import Clinic
from dictate.pipeline.examination import Examination, now
from dictate.tui.app import ExamApp
from dictate.tui.hearing import Hearing
from dictate.tui.keys import Key
from dictate.tui.lockable import Lock
from dictate.tui.plain import visible
from dictate.tui.ports import Writers
from dictate.tui.screens.base import BaseScreen
from dictate.tui.screens.worklist import tally
from dictate.tui.widgets.caution import Caution
from dictate.tui.widgets.key_line import KeyLine
from dictate.tui.widgets.notice_line import NoticeLine
from dictate.vocabulary.schema import Lexicon

DESK_KEYS = (
    Key("w", "w", "app.worklist", "Worklist", "who is due, and whose answer is missing"),
    Key("f", "f", "app.patients", "Patients", "find a patient, open visits and records"),
    Key("k", "k", "app.kept", "Records", "every record that is kept, to read one"),
    Key("f2", "F2", "app.look", "", "dark or light screen"),
    Key("f9", "F9", "app.lock", "", "lock the screen, from anywhere"),
    Key("q,ctrl+q,escape", "q", "app.leave", "", "leave"),
)


class DeskScreen(BaseScreen):
    """What is due, and the keys that lead on."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding(key.keys, key.action, key.does, show=False) for key in DESK_KEYS
    ]
    DEFAULT_CSS = """
    DeskScreen { align: center middle; }
    DeskScreen Vertical { width: 80; max-width: 100%; height: auto; padding: 1 2; }
    DeskScreen Vertical { border: round $primary; }
    DeskScreen Static { height: auto; margin: 0 0 1 0; }
    DeskScreen .title { text-style: bold; color: $primary; }
    DeskScreen NoticeLine, DeskScreen Caution { width: 82; max-width: 100%; }
    """

    def compose(self) -> ComposeResult:
        with Vertical():
            yield Static(Content("The clinic's records"), classes="title")
            yield Static(id="due")
            yield Static(_keys())
        yield NoticeLine()
        yield Caution()
        yield KeyLine((("w", "Worklist"), ("f", "Patients"), ("k", "Records")), (("q", "Quit"),))

    def show_record(self) -> None:
        self.query_one(NoticeLine).show(self.desk.notice)

    def show_hearing(self, hearing: Hearing) -> None:
        """Nothing is heard at a desk."""

    def on_screen_resume(self) -> None:
        clinic = self.exam_app.clinic
        try:
            rows = clinic.due() if clinic is not None else ()
        except DictateError as error:
            self.query_one("#due", Static).update(Content.styled(visible(str(error)), "$error"))
        else:
            self.query_one("#due", Static).update(tally(rows))


class DeskApp(ExamApp):
    """The records' screens alone. The examination that they lie over elsewhere is an empty one
    here, in memory, of no regions: nothing can be recorded into it."""

    TITLE = "Records"
    beneath = "To the desk"
    begins = True

    def __init__(
        self, lexicon: Lexicon, clinic: Clinic, writers: Writers, lock: Lock | None = None
    ) -> None:
        session = Session.start("desk", Protocol(stations=()), now())
        super().__init__(
            Examination(session, Matcher(lexicon)),
            lexicon,
            None,
            writers,
            clinic=clinic,
            lock=lock,
        )
        self.wanted: str | None = None
        """The patient that an examination is to begin of; None when the user just left."""

    def get_default_screen(self) -> Screen[None]:
        return DeskScreen()

    def on_mount(self) -> None:
        self.action_worklist()

    def going_on(self) -> str:
        return ""

    def begin_examination(self, patient: str) -> None:
        self.wanted = patient
        self.exit()

    def action_leave(self) -> None:
        self.exit()

    def get_system_commands(self, screen: Screen[object]) -> Iterator[SystemCommand]:
        """The command palette offers what the keys do."""
        for key in DESK_KEYS:
            action = getattr(self, f"action_{key.action.removeprefix('app.')}")
            yield SystemCommand(key.does.capitalize(), f"key {key.shown}", action)


def _keys() -> Content:
    return Content("\n").join(
        Content.assemble((key.shown.ljust(6), "bold $secondary"), key.does) for key in DESK_KEYS
    )
