"""Recording what came back on a lesion that was referred or biopsied."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
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
from dictate.speech.heard import typed
from dictate.tui.plain import visible
from dictate.tui.screens.records import RecordsScreen
from dictate.tui.screens.taking_down import TakesDown
from dictate.tui.spoken import Said, spoken_value
from dictate.tui.widgets.key_line import Hint

_LONGEST_ANSWER = 500
_HINT = "By voice: the answer; “next” goes on; “two days ago”, “in six weeks”; “undo”."
NO_DAY = "Write a day as 2031-03-04."


class AnswerScreen(TakesDown, RecordsScreen[None]):
    """The answer becomes an amendment of the record where it was asked for.

    It may be dictated into the field, and days be said; ctrl+s with a name records it, which is
    never by voice.
    """

    why_waits = "an answer is being written: who records it is typed"
    acts = frozenset()
    answers: ClassVar[frozenset[str]] = frozenset({"undo", "skip"})
    of_another = True
    free = ("words",)
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
        yield self.frame(
            "An answer has come",
            Static(self._about(), classes="about"),
            _label("Answer"),
            Input(id="words", max_length=_LONGEST_ANSWER, placeholder="what was found"),
            _label("It came on"),
            Input(str(self._today()), id="on", max_length=10),
            _label("Look at the lesion again on (may stay empty)"),
            Input(id="recheck", max_length=10, placeholder="2031-03-04"),
            _label("Recorded by"),
            Input(id="by", max_length=LONGEST, placeholder="name or initials"),
            Static(classes="error"),
            Static(Content(_HINT), classes="hint"),
        )

    # By voice

    def answer(self, value: str) -> None:
        if value == "skip":
            self.focus_next()
        elif not self.take_back():
            self.desk.tell("Nothing was dictated into a field.", warning=True)

    def understand(self, said: Said) -> bool:
        """Words into the answer; “today”, “two days ago” and “six weeks” as days."""
        field = self.focused_field()
        if field is None:
            return False
        if field.id not in ("on", "recheck"):
            return self.taken_down(said)
        day = self._day(said, back=field.id == "on")
        if day is not None:
            field.value = str(day)
        return day is not None

    def _day(self, said: Said, *, back: bool) -> date | None:
        """The day that the words name, counted from today, back or ahead."""
        words = said.words
        if words in (("today",), ("yesterday",)):
            days: object = int(words == ("yesterday",)) if back else None
        elif back:
            days = self._days(said, words[:-1]) if words[-1:] == ("ago",) else None
        else:
            days = self._days(said, words[1:] if words[:1] == ("in",) else words)
        if not isinstance(days, int):
            return None
        return self._today() - timedelta(days=days) if back else self._today() + timedelta(days)

    def _days(self, said: Said, words: tuple[str, ...]) -> object:
        spoken = typed(" ".join(words))
        return spoken_value(self.desk, "duration_days", replace(said, utterance=spoken))

    def _today(self) -> date:
        clinic = self.exam_app.clinic
        return clinic.today() if clinic else date.today()

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
