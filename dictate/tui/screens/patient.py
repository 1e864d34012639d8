"""One patient: who it is, lesions over all visits, and the visits themselves."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.widgets import Static

from dictate.exam.commands import ScreenAct
from dictate.exam.decisions import TITLES, day_words
from dictate.exam.lesions import Lesion
from dictate.exam.patients import who
from dictate.exam.readback import place_words
from dictate.exam.risks import risk_words
from dictate.exam.trend import sparkline
from dictate.exam.visits import Visit
from dictate.store.entry import Entry
from dictate.tui.plain import visible
from dictate.tui.screens.lesion import LesionScreen
from dictate.tui.screens.record import RecordScreen
from dictate.tui.screens.records import RecordsScreen
from dictate.tui.screens.registering import RegisteringDialog
from dictate.tui.values import show
from dictate.tui.widgets.key_line import Hint
from dictate.tui.widgets.row_list import Columns, Row, RowList, heading
from dictate.tui.wording import counted

_COLUMNS = Columns(("", "What", "Size", "State"), (10, 24, 15), (14, 48, 24))
_LESION, _SESSION = "lesion:", "session:"


class PatientScreen(RecordsScreen[None]):
    """Enter opens a lesion's history or a visit's record."""

    acts: ClassVar[frozenset[ScreenAct]] = RecordsScreen.acts | {"register"}
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("b", "begin", "Begin an examination"),
        Binding("e", "edit", "Name and year of birth"),
    ]

    def __init__(self, patient: str) -> None:
        super().__init__()
        self.patient = patient

    def compose(self) -> ComposeResult:
        about = Static(classes="about", id="about")
        yield self.frame(self.patient, about, RowList(_COLUMNS, "No visit was kept yet."))

    def hints(self) -> tuple[Hint, ...]:
        begin = (("b", "Begin an examination"),) if self.exam_app.begins else ()
        return (*self.keys, *begin, ("e", "Name, year"))

    def load(self) -> None:
        patient = self.read(lambda clinic: clinic.patient(self.patient))
        visits = self.read(lambda clinic: clinic.visits(self.patient)) or ()
        lesions = self.read(lambda clinic: clinic.lesions(self.patient)) or ()
        sessions = self.read(lambda clinic: clinic.sessions(self.patient)) or ()
        if patient is not None:
            self.retitle(who(patient))
        self.query_one("#about", Static).update(_about(visits))
        self.query_one(RowList).show(list(_rows(lesions, sessions, visits)))

    def open_chosen(self, name: str | None) -> None:
        if name is None:
            return
        if name.startswith(_LESION):
            self.app.push_screen(LesionScreen(self.patient, name.removeprefix(_LESION)))
        else:
            self.app.push_screen(RecordScreen(name.removeprefix(_SESSION)))

    def act(self, act: ScreenAct) -> None:
        if act == "register":
            self.action_edit()
        else:
            super().act(act)

    def action_edit(self) -> None:
        """Name and year of birth of this patient."""
        patient = self.read(lambda clinic: clinic.patient(self.patient))
        if patient is not None:
            self.app.push_screen(RegisteringDialog(patient))

    def action_begin(self) -> None:
        self.exam_app.begin_examination(self.patient)


def _about(visits: Iterable[Visit]) -> Content:
    risks = {risk.factor: (risk, visit.on) for visit in visits for risk in visit.risks}
    if not risks:
        return Content.styled("No risk history was told.", "$muted")
    told = "; ".join(f"{risk_words(risk)} ({on})" for risk, on in risks.values())
    return Content.assemble(("Risk history  ", "$secondary"), visible(told))


def _rows(
    lesions: Iterable[Lesion], sessions: Iterable[Entry], visits: Iterable[Visit]
) -> Iterator[Row]:
    # The latest lesions and visits are the ones that are asked for.
    ordered = sorted(lesions, key=lambda each: (each.state != "open", each.number))
    if ordered:
        yield heading("LESIONS")
    for lesion in ordered:
        yield _lesion(lesion)
    signed = {each.session: each for each in visits}
    entries = list(sessions)
    if entries:
        yield heading("VISITS")
    for entry in entries:
        yield _visit(entry, signed.get(entry.id))


def _lesion(lesion: Lesion) -> Row:
    fields = lesion.fields
    sizes = [size for _, size in lesion.sizes()]
    size = show("size_mm", sizes[-1]) if sizes else "not measured"
    trend = f" {sparkline(sizes)}" if len(sizes) > 1 else ""
    what = f"{place_words(fields)}, {fields.kind or 'finding'}"
    state = Content.styled(lesion.state, "bold" if lesion.state == "open" else "$muted")
    cells = (
        Content.styled(lesion.label, "bold $primary"),
        Content(visible(what)),
        Content(size + trend),
        Content("\n").join(filter(None, (state, plan_words(lesion)))),
    )
    return Row(f"{_LESION}{lesion.id}", cells)


def plan_words(lesion: Lesion) -> Content:
    """What is planned or awaited, and until when."""
    plan = lesion.awaited[0] if lesion.awaited else lesion.plan
    if plan is None or (lesion.state == "resolved" and not plan.awaited):
        return Content("")
    if plan.answer is not None:
        return Content(visible(f"answered: {plan.answer}"))
    due = f", {day_words(plan.decision.due)}" if plan.decision.due else ""
    waits = "awaited: " if plan.awaited else ""
    return Content(f"{waits}{TITLES[plan.decision.decision]}{due}")


def _visit(entry: Entry, visit: Visit | None) -> Row:
    day = visit.on if visit else entry.created.astimezone().date()
    if entry.state == "draft":
        what, state = Content("draft, not signed"), Content.styled("draft", "$warning")
    else:
        amended = f", version {entry.version}" if entry.version > 1 else ""
        what = Content(visible(f"signed by {entry.examiner or 'nobody'}{amended}"))
        found = [each for each in visit.seen if not each.struck] if visit else []
        state = Content(counted(len(found), "abnormal finding"))
    cells = (Content(str(day)), what, Content(""), state)
    return Row(f"{_SESSION}{entry.id}", cells)
