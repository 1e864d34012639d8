"""What all screens share: the desk, where speech goes, and showing the record anew."""

from __future__ import annotations

from collections.abc import Callable
from enum import StrEnum
from typing import TYPE_CHECKING, ClassVar, TypeVar, cast

from rich.markup import escape
from textual.binding import Binding, BindingType
from textual.screen import ModalScreen, Screen

from dictate.tui.desk import Desk
from dictate.tui.hearing import Hearing
from dictate.tui.plain import visible
from dictate.tui.spoken import Said
from dictate.tui.wording import LISTENING_MARKS

if TYPE_CHECKING:
    from dictate.tui.app import ExamApp

Result = TypeVar("Result")


class Speech(StrEnum):
    """What a screen lets speech do while it is on top."""

    RECORD = "record"
    """Dictation goes to the record. While a question of the review lies underneath, nothing
    does: a "yes" must not answer a question that is covered."""
    ANSWERS = "answers"
    """Everything goes through, answers to the question on the screen too."""
    CLOSES = "closes"
    """As RECORD, and the screen makes way when something is said."""
    WAITS = "waits"
    """Only the dialog's own answers go through; all else is put aside, to be taken up later."""
    HELD = "held"
    """Nothing goes through, as in a pause: what is said is shown as not taken."""


class Shown:
    """Mixed into every screen of the examination."""

    speech: ClassVar[Speech] = Speech.RECORD
    ready = False
    """True once every part of the screen is there to be shown on."""
    opened_at = 0.0
    """When it came to be on the screen: what was said before is not meant for it."""
    cautious: ClassVar[bool] = False
    """True where words act at once: those that were not heard well are asked for again."""

    @property
    def exam_app(self) -> ExamApp:
        return cast("ExamApp", cast("Screen[object]", self).app)

    @property
    def desk(self) -> Desk:
        return self.exam_app.desk

    def show_record(self) -> None:
        """Draw again what the record says; called after every change of it."""

    def show_hearing(self, hearing: Hearing) -> None:
        """Draw again whether and what the program hears."""

    def meaning(self, said: Said) -> Callable[[], object] | None:
        """What to do upon words that mean something on this screen alone; None when they do not."""
        return None


class BaseScreen(Shown, Screen[None]):
    """A screen of its own."""

    def on_mount(self) -> None:
        self.ready = True
        self.show_record()
        self.show_hearing(self.exam_app.hearing)

    def on_screen_resume(self) -> None:
        self.exam_app.screen_uncovered()


class Dialog(Shown, ModalScreen[Result]):
    """A dialog over a screen; escape closes it without a result."""

    answers: ClassVar[frozenset[str]] = frozenset()
    """Spoken commands ("confirm", "reject", "skip") that answer this dialog."""
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "close", "Back", priority=True),
        Binding("f1", "app.help", "What can be typed and said here", priority=True),
    ]
    DEFAULT_CSS = """
    Dialog { align: center middle; background: $background 70%; }
    Dialog > .box {
        width: 76; max-width: 100%; height: auto; max-height: 100%;
        background: $surface; border: round $primary; padding: 0 1;
    }
    Dialog > .box { border-subtitle-color: $success; border-subtitle-style: bold; }
    Dialog > .box.-deaf { border-subtitle-color: $error; }
    Dialog .title { height: auto; text-style: bold; color: $primary; }
    Dialog .hint { height: auto; color: $muted; }
    Dialog .error { height: auto; color: $error; text-style: bold; display: none; }
    Dialog OptionList { border: none; background: $surface; padding: 0; }
    Dialog OptionList:focus { border: none; background-tint: $foreground 0%; }
    Dialog Input { border: none; height: 1; padding: 0 1; margin: 1 0; background: $panel; }
    Dialog Input:focus { border: none; background-tint: $foreground 0%; }
    """

    def on_mount(self) -> None:
        self.ready = True
        self.opened_at = self.exam_app.clock()
        self.show_record()
        self.show_hearing(self.exam_app.hearing)

    def answer(self, value: str) -> None:
        """Take one of `answers`, said to this dialog."""

    def show_hearing(self, hearing: Hearing) -> None:
        """On the frame, since a dialog may cover the line that says it."""
        box = self.query_one(".box")
        key = hearing.mark(self.desk.session.paused)
        why = f": {visible(hearing.why)}" if hearing.why else ""
        box.border_subtitle = escape(
            f"{LISTENING_MARKS[key].symbol} {LISTENING_MARKS[key].word}{why}"
        )
        box.set_class(key == "deaf", "-deaf")

    def action_close(self) -> None:
        self.dismiss(None)
