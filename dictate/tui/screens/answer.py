"""Recording what came back on a lesion that was referred or biopsied."""

from __future__ import annotations

from datetime import date
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.widgets import Input, Static

from dictate.exam.decisions import decision_words
from dictate.exam.lesions import Lesion, lesion_words
from dictate.exam.names import LONGEST
from dictate.pipeline.clinic import Clinic
from dictate.tui.plain import visible
from dictate.tui.screens.records import RecordsScreen
from dictate.tui.widgets.key_line import Hint

_LONGEST_ANSWER = 500
NO_DAY = "Write a day as 2031-03-04."


class AnswerScreen(RecordsScreen[None]):
    """The answer is typed; it becomes an amendment of the record where it was asked for."""

    why_waits = "an answer is being typed: its words are never taken by voice"
    acts = frozenset()
    keys: ClassVar[tuple[Hint, ...]] = (("ctrl+s", "Record"), ("tab", "Next field"))
    BINDINGS: ClassVar[list[BindingType]] = [Binding("ctrl+s", "take", "Record", priority=True)]
    DEFAULT_CSS = """
    AnswerScreen .label { height: 1; color: $secondary; }
    AnswerScreen Input { margin: 0 0 1 0; }
    """

    def __init__(self, lesion: Lesion, name: str | None = None) -> None:
        """`lesion` awaits an answer; `name` is the patient's, where it is kept."""
        super().__init__()
        self._lesion, self._name = lesion, name

    def compose(self) -> ComposeResult:
        clinic = self.exam_app.clinic
        today = clinic.today() if clinic else date.today()
        yield self.frame(
            "An answer has come",
            Static(self._about(), classes="about"),
            _label("Answer"),
            Input(id="words", max_length=_LONGEST_ANSWER, placeholder="what was found"),
            _label("It came on"),
            Input(str(today), id="on", max_length=10),
            _label("Look at the lesion again on (may stay empty)"),
            Input(id="recheck", max_length=10, placeholder="2031-03-04"),
            _label("Recorded by"),
            Input(id="by", max_length=LONGEST, placeholder="name or initials"),
            Static(classes="error"),
        )

    def _about(self) -> Content:
        lesion, plan = self._lesion, self._lesion.awaited[0]
        whose = " ".join(filter(None, (lesion.patient or "no patient", self._name)))
        asked = f"{decision_words(plan.decision)} ({plan.on}, {plan.by or 'nobody'})"
        return Content.assemble(
            (visible(whose), "bold"),
            "\n",
            visible(lesion_words(lesion)),
            "\n",
            visible(asked),
            "\n",
        )

    @on(Input.Submitted)
    def _enter(self, event: Input.Submitted) -> None:
        if event.input.id == "by":
            self.action_take()
        else:
            self.focus_next()

    def action_take(self) -> None:
        on, recheck = read_day(self._text("on")), read_day(self._text("recheck"))
        if on is None or (recheck is None and self._text("recheck")):
            self.fail(NO_DAY)
            return
        before = self.desk.notice
        kept = self.read(lambda clinic: self._kept(clinic, on, recheck))
        if kept is None:
            self.fail(self.desk.notice.text if self.desk.notice is not before else "Not recorded.")
            return
        self.desk.tell(f"{self._lesion.label}: recorded in version {kept} of the visit.")
        self.dismiss(None)

    def _kept(self, clinic: Clinic, on: date, recheck: date | None) -> int:
        words, by = self._text("words"), self._text("by")
        session = clinic.answer(self._lesion, words, by=by, on=on, recheck=recheck)
        self.exam_app.amended(session)
        return session.version

    def unsaved(self) -> str:
        return "the answer" if self._text("words") else ""

    def _text(self, name: str) -> str:
        return self.query_one(f"#{name}", Input).value.strip()

    def fail(self, why: str) -> None:
        """Show why it was not recorded."""
        error = self.query_one(".error", Static)
        error.update(Content(visible(why)))
        error.display = True


def _label(text: str) -> Static:
    return Static(Content(text), classes="label")


def read_day(text: str) -> date | None:
    """The day of "2031-03-04"; None for anything else."""
    try:
        return date.fromisoformat(text)
    except ValueError:
        return None
