"""What becomes of a finding: the prompts it meets, and a clinician's decision with its reason."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical, VerticalScroll
from textual.content import Content
from textual.widgets import Input, OptionList, Static
from textual.widgets.option_list import Option

from dictate.errors import ExamError
from dictate.exam.commands import Decide, ScreenAct
from dictate.exam.deciding import LONGEST_REASON, completed
from dictate.exam.decisions import TITLES, Decision, DecisionKind, decision_words
from dictate.exam.finding import Finding
from dictate.exam.followup import Assessment
from dictate.exam.readback import finding_words
from dictate.exam.state import State
from dictate.matching.deciding import read_decision
from dictate.matching.visit_words import VisitWords
from dictate.tui.plain import visible
from dictate.tui.screens.answer import NO_DAY, read_day
from dictate.tui.screens.records import Attentive
from dictate.tui.wording import CAUTION
from dictate.vocabulary.followup import Urgency

_KINDS: tuple[DecisionKind, ...] = ("refer", "biopsy", "recheck", "no_action")
_MEANS: dict[DecisionKind, str] = {
    "refer": "the prompt is taken up",
    "biopsy": "the prompt is taken up",
    "recheck": "put off: look at it again on a day",
    "no_action": "the prompt is declined, with the reason",
}
_URGENCY: dict[Urgency, tuple[str, str]] = {
    "at once": ("! should not wait", "bold $error"),
    "evaluate": ("refer or evaluate further", "bold $warning"),
    "note": ("note", "bold $muted"),
}


class DecisionDialog(Attentive[Decide]):
    """Result: the decision as a command, or None. Nothing is proposed as already chosen."""

    acts: ClassVar[frozenset[ScreenAct]] = frozenset({"row_down", "row_up"})
    why_waits = "a decision is on the screen: say it, or close"
    answers: ClassVar[frozenset[str]] = frozenset({"confirm", "reject"})
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("ctrl+s", "take", "Record", priority=True),
        Binding("pagedown", "scroll(5)", "Further", priority=True, show=False),
        Binding("pageup", "scroll(-5)", "Back", priority=True, show=False),
    ]
    DEFAULT_CSS = """
    DecisionDialog > .box { width: 100; }
    DecisionDialog VerticalScroll { height: auto; max-height: 8; }
    DecisionDialog.-wide VerticalScroll { max-height: 22; }
    DecisionDialog VerticalScroll Static { height: auto; }
    DecisionDialog OptionList { height: 4; }
    DecisionDialog Input { margin: 0; }
    DecisionDialog #day { width: 36; }
    DecisionDialog .label { height: 1; color: $secondary; }
    """

    def __init__(
        self,
        finding: Finding,
        found: Assessment,
        state: State,
        made: Decision | None,
    ) -> None:
        """`found`: what the rules say of it; `made`: what was decided, if anything was."""
        super().__init__()
        self._finding, self._found, self._state, self._made = finding, found, state, made
        self._kind: DecisionKind | None = None
        self.spoken = False
        """True once the choice on the screen was spoken."""

    def compose(self) -> ComposeResult:
        with Vertical(classes="box"):
            yield Static(Content(f"Decide on {self._finding.id}"), classes="title")
            with VerticalScroll(can_focus=False):
                yield Static(_about(self._finding, self._found, self._made))
            yield OptionList(*(Option(_choice(each, chosen=False), id=each) for each in _KINDS))
            yield Static(Content("Day of the re-check, or to ask after an answer"), classes="label")
            yield Input(id="day", max_length=10)
            yield Static(Content("Reason"), classes="label")
            yield Input(id="reason", max_length=LONGEST_REASON, placeholder="why")
            yield Static(classes="error")
            hint = (
                "enter goes on   ctrl+s records   page down reads on   escape back   "
                "or say it: “refer because it has grown”, then “yes”"
            )
            yield Static(Content(hint), classes="hint")
            yield Static(Content(CAUTION), classes="hint")

    def _choose(self, kind: DecisionKind) -> None:
        self._kind = kind
        options = self.query_one(OptionList)
        for each in _KINDS:
            options.replace_option_prompt(each, _choice(each, chosen=each == kind))
        options.highlighted = _KINDS.index(kind)
        command = Decide(target=self._finding.id, decision=kind, reason="-")
        due = completed(command, self._found, self._state).due
        placeholder = f"{due} if left empty" if due is not None else "has no day"
        self.query_one("#day", Input).placeholder = placeholder

    @on(OptionList.OptionSelected)
    def _chosen(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        kind = _KINDS[event.option_index]
        self._choose(kind)
        self.query_one("#day" if kind != "no_action" else "#reason", Input).focus()

    @on(Input.Submitted)
    def _enter(self, event: Input.Submitted) -> None:
        if event.input.id == "reason":
            self.action_take()
        else:
            self.query_one("#reason", Input).focus()

    def action_take(self) -> None:
        """Check it as the record will, and give it to who asked."""
        if self._kind is None:
            self._fail("Choose what is decided: enter on one of the four lines.")
            return
        text = self.query_one("#day", Input).value.strip()
        due = read_day(text)
        if text and due is None:
            self._fail(NO_DAY)
            return
        reason = self.query_one("#reason", Input).value
        command = Decide(target=self._finding.id, decision=self._kind, reason=reason, due=due)
        try:
            completed(command, self._found, self._state)
        except ExamError as error:
            self._fail(str(error))
        else:
            self.dismiss(command)

    def _fail(self, why: str) -> None:
        error = self.query_one(".error", Static)
        error.update(Content(visible(why)))
        error.display = True

    def action_scroll(self, lines: int) -> None:
        self.query_one(VerticalScroll).scroll_relative(y=lines, animate=False)

    # By voice

    def act(self, act: ScreenAct) -> None:
        self.action_scroll(5 if act == "row_down" else -5)

    def answer(self, value: str) -> None:
        if value == "reject":
            self.dismiss(None)
        elif self.spoken:
            self.action_take()
        else:
            self._fail("Say the decision first: “refer”, “biopsy”, “re-check” or “no action”.")

    def hear(self, words: tuple[str, ...]) -> bool:
        """Show a spoken decision; a yes records it. It must be about this finding."""
        terms = VisitWords(self.desk.lexicon, {})
        said = read_decision(words, terms, self._state.on, free_reason=True)
        if said is None and self.spoken:
            term, after = terms.at(words, 0)
            if term == "because":
                self.query_one("#reason", Input).value = " ".join(words[after:])
                return True
        if said is None or (said.target and f"f{said.target.number}" != self._finding.id):
            return False
        self._choose(said.decision)
        self.query_one("#day", Input).value = str(said.due or "")
        self.query_one("#reason", Input).value = said.reason
        self.spoken = True
        return True


def _about(finding: Finding, found: Assessment, made: Decision | None) -> Content:
    return Content("\n").join(_lines(finding, found, made))


def _lines(finding: Finding, found: Assessment, made: Decision | None) -> Iterator[Content]:
    yield Content.styled(visible(finding_words(finding)), "bold")
    if made is not None:
        yield Content.assemble(("Decided: ", "$secondary"), visible(decision_words(made)))
    for each in found.prompts:
        mark, style = _URGENCY[each.urgency]
        because = f" ({each.because})" if each.because else ""
        yield Content.assemble(
            (f"{mark}: ", style),
            visible(f"{each.text}{because}."),
            (f" [{visible(each.source)}]", "$muted"),
        )
    if not found.prompts:
        yield Content.styled("No rule is met.", "$muted")
    if found.recheck_on is not None:
        yield Content(f"Without another decision: re-check on {found.recheck_on}.")


def _choice(kind: DecisionKind, *, chosen: bool) -> Content:
    mark = "(•) " if chosen else "( ) "
    name = TITLES[kind].ljust(27)
    return Content.assemble((mark, "bold $primary"), (name, "bold"), (_MEANS[kind], "$muted"))
