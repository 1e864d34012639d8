"""The confirmation pass: one question after the other, read back in words."""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.content import Content
from textual.widgets import Static

from dictate.exam.commands import Acknowledge, Answer, ChangeField, GoTo, Repeat, Skip
from dictate.exam.events import KEYBOARD, VOICE
from dictate.exam.review import Question, Review
from dictate.tui.hearing import Hearing
from dictate.tui.screens.aside import AsideDialog
from dictate.tui.screens.base import BaseScreen, Speech
from dictate.tui.screens.field import change_field
from dictate.tui.screens.finding import FindingDialog
from dictate.tui.screens.marking import MarkingDialog, ReasonDialog
from dictate.tui.screens.signing import SigningDialog
from dictate.tui.spoken import Said
from dictate.tui.widgets.banner import Banner
from dictate.tui.widgets.caution import Caution
from dictate.tui.widgets.conversation import Conversation
from dictate.tui.widgets.key_line import KeyLine
from dictate.tui.widgets.notice_line import NoticeLine
from dictate.tui.widgets.question_box import QuestionBox, heading, others
from dictate.tui.widgets.question_list import QuestionList
from dictate.tui.widgets.status_bar import StatusBar

_RIGHT, _LATER, _AGAIN = ("y", "Right"), ("s", "Later"), ("r", "Read again")
ANSWERS: dict[str, tuple[tuple[str, str], ...]] = {
    "patient": (_RIGHT, ("n", "Another one"), ("c", "Name, year"), _LATER, _AGAIN),
    "field": (_RIGHT, ("n", "Wrong"), ("c", "Change it"), _LATER, _AGAIN),
    "finding": (_RIGHT, ("n", "Wrong"), ("c", "Change fields"), _LATER, _AGAIN),
    "mark": (_RIGHT, ("n", "Take it back"), _LATER, _AGAIN),
    "contradiction": (("y", "Findings stand"), ("n", "Wrong"), ("c", "Correct"), _LATER),
    "region": (("y", "Leave it out"), ("n", "Mark it"), ("A", "Leave all out"), _LATER),
    "link": (("y", "It is that one"), ("n", "A new one"), _LATER, _AGAIN),
    "lesion": (_RIGHT, ("n", "Type what it is like"), ("t", "Type"), _LATER, _AGAIN),
    "risk": (_RIGHT, ("n", "Type what is right"), _LATER, _AGAIN),
    "decision": (("y", "As proposed"), ("c", "Decide"), ("t", "Type"), _LATER, _AGAIN),
    "aside": (("y", "Leave them out"), ("n", "Make findings of them"), _LATER),
}
_TYPED = ("lesion", "risk", "decision")
"""Questions that are answered in words, typed as they would be said."""
_COMPLETE = (("enter", "Sign"),)
_KEYS = (("t", "Type"), ("u", "Undo"), ("o", "Aloud"), ("p", "Pause"))
_ALWAYS = (("esc", "To the examination"), ("?", "Help"))


class ReviewingScreen(BaseScreen):
    """Spoken answers count for the question that is on the screen, and for no other."""

    speech: ClassVar[Speech] = Speech.ANSWERS
    cautious: ClassVar[bool] = True
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("y", "answer(True)", "Yes"),
        Binding("n", "answer(False)", "No"),
        Binding("c", "change", "Change"),
        Binding("s", "skip", "Later"),
        Binding("r", "repeat", "Again"),
        Binding("A", "leave_out_all", "All not examined", show=False),
        Binding("enter", "sign", "Sign"),
        Binding("t,slash", "app.type", "Type"),
        Binding("u", "app.undo", "Undo"),
        Binding("p", "app.pause", "Pause", show=False),
        Binding("o", "app.aloud", "Aloud"),
        Binding("escape", "back", "To the examination"),
        Binding("question_mark,f1", "app.help", "Help"),
        Binding("f2", "app.look", "Look", show=False),
        Binding("up", "move(-1)", show=False),
        Binding("down", "move(1)", show=False),
        *(Binding(str(n), f"take({n})", show=False) for n in range(1, 10)),
    ]
    DEFAULT_CSS = """
    ReviewingScreen #progress { height: 1; padding: 0 1; background: $panel; color: $secondary; }
    ReviewingScreen #room { height: 1fr; }
    ReviewingScreen #asked {
        height: auto; max-height: 100%; padding: 0 1; background: $surface;
        border: round $primary; border-title-color: $primary; border-title-style: bold;
        border-subtitle-color: $secondary; border-subtitle-style: bold;
        border-subtitle-align: left;
    }
    ReviewingScreen.-wide #asked { padding: 1 2; }
    ReviewingScreen QuestionList { display: none; width: 58; }
    ReviewingScreen Conversation { height: 4; }
    ReviewingScreen.-wide QuestionList { display: block; }
    ReviewingScreen.-wide Conversation { height: 8; }
    """

    def __init__(self) -> None:
        super().__init__()
        self.asked: str | None = None
        """Key of the question on the screen."""
        self.asked_at = 0.0
        """When it came to be on the screen."""

    def compose(self) -> ComposeResult:
        yield StatusBar()
        yield Banner()
        yield Static(id="progress")
        with Horizontal():
            with Vertical():
                with Vertical(id="room"), VerticalScroll(id="asked", can_focus=False):
                    yield QuestionBox()
                yield Conversation()
            yield QuestionList()
        yield NoticeLine()
        yield Caution()
        yield KeyLine(_KEYS, _ALWAYS)

    # What is shown

    def show_record(self) -> None:
        desk, review = self.desk, self.desk.session.review
        self.query_one(StatusBar).show_record(desk)
        self.query_one(Conversation).show_record(desk)
        self.query_one(NoticeLine).show(desk.notice, beside_conversation=True)
        self.query_one(Banner).show(desk.problem, self.exam_app.hearing.why)
        if review is not None:
            self._show_review(review)

    def show_hearing(self, hearing: Hearing) -> None:
        self.query_one(StatusBar).show_hearing(hearing.mark(self.desk.session.paused))
        self.query_one(Banner).show(self.desk.problem, hearing.why)

    def _show_review(self, review: Review) -> None:
        question = review.current
        self.query_one(QuestionBox).show_review(self.desk, review)
        self.query_one(QuestionList).show_review(review)
        self.query_one("#progress", Static).update(_progress(review))
        answers = _answers(question) if question else _COMPLETE
        box = self.query_one("#asked", VerticalScroll)
        box.border_title = heading(question)
        box.border_subtitle = "   ".join(f"{key}  {does}" for key, does in answers)
        key = question.key if question else None
        if key != self.asked:
            self.asked, self.asked_at = key, self.exam_app.clock()
            box.scroll_home(animate=False)
            self.exam_app.read_aloud(question.aloud if question else "")

    def on_screen_resume(self) -> None:
        """A question that was covered counts as asked anew."""
        self.asked_at = self.exam_app.clock()

    # What the keys do

    def _question(self) -> Question | None:
        review = self.desk.session.review
        return review.current if review is not None else None

    def action_answer(self, yes: bool) -> None:
        question = self._question()
        if question is None:
            return
        done = self.desk.do(Answer(yes=yes))
        if yes or done is None:
            return
        if question.kind == "patient":
            self.exam_app.ask_for_patient()
        elif question.kind not in ("mark", "link"):
            self.action_change()

    def action_skip(self) -> None:
        self.desk.do(Skip())

    def action_repeat(self) -> None:
        if self.desk.do(Repeat()) is not None:
            self.read_again()

    def read_again(self) -> None:
        """Say the question again, if questions are read aloud."""
        question = self._question()
        if question is not None:
            self.exam_app.read_aloud(question.aloud)

    def action_change(self) -> None:
        question = self._question()
        if question is None:
            return
        if question.kind == "patient":
            self.exam_app.register_patient()
        elif question.kind == "decision":
            self.exam_app.decide(question.finding)
        elif question.kind in _TYPED:
            self.exam_app.action_type()
        elif question.finding and question.field:
            change_field(self, question.finding, question.field)
        elif question.finding or question.kind == "contradiction":
            self.app.push_screen(FindingDialog(question.finding or question.items[0]))
        elif question.kind == "aside":
            self.app.push_screen(AsideDialog())
        elif question.region:
            self.app.push_screen(MarkingDialog(question.region))

    def action_take(self, number: int) -> None:
        self._take(number, KEYBOARD)

    def _take(self, number: int, actor: str) -> None:
        question = self._question()
        values = others(self.desk, question) if question else ()
        if question and question.finding and question.field and 1 <= number <= len(values):
            value = values[number - 1]
            change = ChangeField(target=question.finding, field=question.field, value=value)
            self.desk.do(change, actor)
        elif actor == VOICE:
            self.desk.tell(f"There is no alternative {number} here.", warning=True)

    def meaning(self, said: Said) -> Callable[[], object] | None:
        number = said.number
        if number is not None:
            return lambda: self._take(number, VOICE)
        question = self._question()
        if said.value == "mark" and question is not None and question.region:
            return self.action_change
        acts: dict[str | None, Callable[[], object]] = {
            "edit": self.action_change,
            **({"register": self.action_change} if _of_patient(question) else {}),
            "row_down": lambda: self.action_move(8),
            "row_up": lambda: self.action_move(-8),
        }
        return acts.get(said.value)

    def decides(self) -> str | None:
        """The finding that the question on the screen is about."""
        question = self._question()
        return question.finding if question is not None else None

    def action_move(self, lines: int) -> None:
        self.query_one("#asked", VerticalScroll).scroll_relative(y=lines, animate=False)

    def _unexamined(self) -> tuple[str, ...]:
        review = self.desk.session.review
        asked = review.open if review is not None else ()
        return tuple(each.region for each in asked if each.kind == "region" and each.region)

    def action_leave_out_all(self) -> None:
        """Leave out all regions nothing was said of, after their reason and a yes."""
        regions = self._unexamined()
        if not regions:
            self.desk.tell("No region is left that nothing was said of.", warning=True)
            return
        dialog = ReasonDialog(*regions)

        def left_out(reason: str | None) -> None:
            if reason is not None:
                self.desk.do(Acknowledge(regions=regions, reason=reason or None), dialog.actor)

        self.app.push_screen(dialog, left_out)

    def action_sign(self) -> None:
        review = self.desk.session.review
        if review is not None and review.complete:
            self.app.push_screen(SigningDialog())
        elif review is not None:
            self.desk.tell(f"{len(review.open)} questions are still open.", warning=True)

    def action_back(self) -> None:
        session = self.desk.session
        region = session.current_region or next(iter(session.protocol.order), None)
        if region is not None:
            self.desk.do(GoTo(region=region))


def _answers(question: Question) -> tuple[tuple[str, str], ...]:
    answers = ANSWERS[question.kind]
    return answers[1:] if question.choices else answers


def _of_patient(question: Question | None) -> bool:
    return question is not None and question.kind == "patient"


def _progress(review: Review) -> Content:
    left = len(review.open)
    text = "Confirmation pass: " + (f"{left} to decide" if left else "complete")
    skipped = len([each for each in review.open if each.key in review.skipped])
    return Content(text + (f", {skipped} left for later" if skipped else ""))
