"""The history of one lesion: its size over time in figures and as a plot, and what was decided."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widgets import Static

from dictate.exam.commands import ScreenAct
from dictate.exam.decisions import decision_words
from dictate.exam.lesions import Lesion, Plan, Sighting
from dictate.exam.readback import finding_words, place_words
from dictate.exam.trend import plot
from dictate.tui.plain import visible
from dictate.tui.screens.answer import AnswerScreen
from dictate.tui.screens.record import RecordScreen
from dictate.tui.screens.records import RecordsScreen
from dictate.tui.widgets.key_line import Hint
from dictate.tui.widgets.row_list import Columns, Row, RowList

_COLUMNS = Columns(("Day", "What", ""), (10, 15), (12, 24))
_BAR, _WIDE_BAR = 12, 48
_WHAT = {
    "new": "first seen",
    "same": "same as before",
    "changed": "seen again",
    "linked": "seen again",
    "resolved": "resolved",
    "not looked at": "not looked at",
}


class LesionScreen(RecordsScreen[None]):
    """Enter opens the record of a visit; r records the answer that is awaited."""

    acts: ClassVar[frozenset[ScreenAct]] = RecordsScreen.acts | {"record_answer"}
    keys: ClassVar[tuple[Hint, ...]] = (("enter", "Open the visit"), ("r", "Record the answer"))
    BINDINGS: ClassVar[list[BindingType]] = [Binding("r", "answer", "Record the answer")]
    DEFAULT_CSS = """
    LesionScreen #sizes { height: auto; max-height: 40%; margin: 1 0; }
    LesionScreen #sizes Static { height: auto; }
    """

    def __init__(self, patient: str, lesion: str) -> None:
        """`patient` and the lesion's id."""
        super().__init__()
        self.patient, self._of = patient, lesion
        self._lesion: Lesion | None = None

    def compose(self) -> ComposeResult:
        about = Static(classes="about", id="about")
        sizes = VerticalScroll(Static(), id="sizes", can_focus=False)
        rows = RowList(_COLUMNS, "This lesion is not there any more.")
        yield self.frame("Lesion", about, sizes, rows)

    def load(self) -> None:
        lesions = self.read(lambda clinic: clinic.lesions(self.patient)) or ()
        lesion = next((each for each in lesions if each.id == self._of), None)
        self._lesion = lesion
        if lesion is None:
            self.query_one(RowList).show(())
            return
        self.retitle(f"{lesion.label}  {place_words(lesion.fields)}, patient {self.patient}")
        self.query_one("#about", Static).update(_about(lesion))
        bar = _WIDE_BAR if self.app.size.width >= 120 else _BAR
        lines = plot(lesion.sizes(), bar) or ("It was never measured.",)
        self.query_one("#sizes Static", Static).update(
            Content("\n").join(Content(visible(line)) for line in lines)
        )
        self.query_one(RowList).show(list(_rows(lesion)))

    def open_chosen(self, name: str | None) -> None:
        if name is not None:
            self.app.push_screen(RecordScreen(name.split("#")[0]))

    def act(self, act: ScreenAct) -> None:
        if act == "record_answer":
            self.action_answer()
        else:
            super().act(act)

    def action_answer(self) -> None:
        lesion = self._lesion
        if lesion is None or not lesion.awaited:
            self.desk.tell("No answer is awaited on this lesion.", warning=True)
        else:
            self.app.push_screen(AnswerScreen(lesion))


def _about(lesion: Lesion) -> Content:
    state = f"{lesion.state}, first seen {lesion.first_seen}"
    awaited = f"   awaiting {len(lesion.awaited)} answer" if lesion.awaited else ""
    awaited += "s" if len(lesion.awaited) > 1 else ""
    words = Content(visible(finding_words(lesion.fields)))
    clash = f"\n! {lesion.clash[1]}" if lesion.clash is not None else ""
    return Content.assemble(
        (state, "bold"), (awaited, "bold $warning"), "\n", words, (clash, "bold $warning")
    )


def _rows(lesion: Lesion) -> Iterator[Row]:
    """Sightings, decisions and answers, in order of time."""
    entries: list[tuple[date, int, str, str, str]] = []
    for each in lesion.sightings:
        entries.append((each.on, 0, each.session, _WHAT[each.what], _seen(each)))
    for plan in lesion.plans:
        entries.append((plan.on, 1, plan.session, "decided", _decided(plan)))
        if plan.answer is not None and plan.answered_on is not None:
            # Before what was decided upon it on the same day, and after its own question.
            turn = 2 if plan.answered_on == plan.on else 0
            entries.append((plan.answered_on, turn, plan.session, "answered", plan.answer))
    for place, (day, _, session, what, words) in enumerate(sorted(entries)):
        cells = (Content(str(day)), Content.styled(what, "bold"), Content(visible(words)))
        yield Row(f"{session}#{place}", cells)


def _seen(sighting: Sighting) -> str:
    return finding_words(sighting.fields) if sighting.fields is not None else ""


def _decided(plan: Plan) -> str:
    return f"{decision_words(plan.decision)} ({plan.by or 'nobody'})"
