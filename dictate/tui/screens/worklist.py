"""The worklist: overdue, due this week, answers that are missing, and what comes later."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.widgets import Static

from dictate.exam.commands import ScreenAct
from dictate.exam.worklist import STATUSES, DueRow, DueStatus
from dictate.tui.plain import visible
from dictate.tui.screens.answer import AnswerScreen
from dictate.tui.screens.exporting import WorklistExportDialog
from dictate.tui.screens.lesion import LesionScreen
from dictate.tui.screens.patients import PatientsScreen
from dictate.tui.screens.record import RecordScreen
from dictate.tui.screens.records import RecordsScreen
from dictate.tui.widgets.key_line import Hint
from dictate.tui.widgets.row_list import Columns, Row, RowList, heading

_COLUMNS = Columns(("Due", "Patient", "Lesion"), (10, 15, 19), (18, 26, 40))
_STYLES: dict[DueStatus, str] = {
    "overdue": "bold $error",
    "due this week": "bold $warning",
    "awaiting": "bold $accent",
    "later": "$muted",
}


class WorklistScreen(RecordsScreen[None]):
    """Enter opens the lesion's history; r records an answer that has come."""

    acts: ClassVar[frozenset[ScreenAct]] = RecordsScreen.acts | {"record_answer", "export_list"}
    keys: ClassVar[tuple[Hint, ...]] = (
        ("enter", "Lesion"),
        ("r", "Answer"),
        ("x", "Export"),
        ("f", "Find"),
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("r", "answer", "Record the answer"),
        Binding("x", "export", "Export the list"),
        Binding("f", "find", "Find a patient"),
    ]

    def __init__(self) -> None:
        super().__init__()
        self._due: tuple[DueRow, ...] = ()

    def compose(self) -> ComposeResult:
        columns = Columns((*_COLUMNS.titles, "To do"), _COLUMNS.narrow, _COLUMNS.wide)
        empty = "Nothing is due, and no answer is missing."
        yield self.frame("Worklist", Static(classes="about", id="about"), RowList(columns, empty))

    def load(self) -> None:
        self._due = self.read(lambda clinic: clinic.due()) or ()
        self.query_one("#about", Static).update(tally(self._due))
        self.query_one(RowList).show(list(_rows(self._due)))

    def _chosen(self, name: str | None) -> DueRow | None:
        return next((each for each in self._due if _name(each) == name), None)

    def open_chosen(self, name: str | None) -> None:
        row = self._chosen(name)
        if row is None:
            return
        if row.patient is None:
            self.app.push_screen(RecordScreen(row.session))
        else:
            self.app.push_screen(LesionScreen(row.patient, row.lesion_id))

    def act(self, act: ScreenAct) -> None:
        if act == "record_answer":
            self.action_answer()
        elif act == "export_list":
            self.action_export()
        else:
            super().act(act)

    def action_answer(self) -> None:
        row = self._chosen(self.query_one(RowList).chosen())
        if row is None or row.status != "awaiting":
            self.desk.tell("Choose a line that awaits an answer.", warning=True)
            return
        lesion = self.read(lambda clinic: clinic.lesion(row))
        if lesion is not None:
            self.app.push_screen(AnswerScreen(lesion, row.name))

    def action_export(self) -> None:
        """Write the lines on the screen to a file."""
        clinic = self.exam_app.clinic
        if clinic is None or not self._due:
            self.desk.tell("There is no line to export.", warning=True)
        else:
            self.app.push_screen(WorklistExportDialog(self._due, str(clinic.today())))

    def action_find(self) -> None:
        self.app.push_screen(PatientsScreen())


def tally(rows: Iterable[DueRow]) -> Content:
    """ "3 overdue   4 due this week   11 awaiting   9 later"."""
    counts = Counter(each.status for each in rows)
    parts = [
        Content.styled(f"{counts[status]} {status}", _STYLES[status] if counts[status] else "")
        for status in STATUSES
    ]
    return Content("   ").join(parts)


def _name(row: DueRow) -> str:
    return f"{row.status}:{row.lesion_id}"


def _rows(rows: Iterable[DueRow]) -> Iterator[Row]:
    status = None
    for row in rows:
        if row.status != status:
            status = row.status
            yield heading(status.upper())
        yield Row(_name(row), _cells(row))


def _cells(row: DueRow) -> tuple[Content, ...]:
    late = f"\n{row.late_days} d late" if row.late_days else ""
    does = Content.styled(row.does, "bold")
    reason = Content.styled(visible(row.reason), "$muted")
    return (
        Content.styled(f"{row.due or ''}{late}", _STYLES[row.status]),
        Content.assemble(
            (visible(row.patient or "no patient"), "bold"), f"\n{visible(row.name or '')}"
        ),
        Content.assemble((row.lesion, "bold $primary"), f" {visible(row.place)}"),
        Content("\n").join(filter(None, (does, reason))),
    )
