"""Finding a patient by identifier, name or day of a visit."""

from __future__ import annotations

import calendar
import re
from datetime import date
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.widgets import Input, Static

from dictate.exam.commands import ScreenAct
from dictate.exam.patients import Patient
from dictate.exam.worklist import DueRow
from dictate.store.worklist import PatientEntry
from dictate.tui.digits import identifier_digits
from dictate.tui.plain import visible
from dictate.tui.screens.patient import PatientScreen
from dictate.tui.screens.records import RecordsScreen
from dictate.tui.screens.registering import RegisteringDialog
from dictate.tui.spoken import Said
from dictate.tui.widgets.key_line import Hint
from dictate.tui.widgets.row_list import Columns, Row, RowList
from dictate.tui.wording import counted

_COLUMNS = Columns(
    ("Patient", "Name, born", "Visits, last", "Open", "Next"),
    (9, 20, 13, 4),
    (14, 34, 20, 6),
)
_PLACEHOLDER = "identifier, name, or day: 2031-03-04, 2031-03, 2031-03-01..2031-03-15"
_DAY = r"\d{4}(?:-\d{2}(?:-\d{2})?)?"
_TIME = re.compile(rf"(?P<since>{_DAY})(?:\s*(?:\.\.|to)\s*(?P<until>{_DAY}))?")


class PatientsScreen(RecordsScreen[None]):
    """Typing narrows the list; enter opens a patient. Spoken digits are typed by voice."""

    keys: ClassVar[tuple[Hint, ...]] = (
        ("type", "identifier, name or day"),
        ("enter", "Open"),
        ("^n", "New"),
    )
    acts: ClassVar[frozenset[ScreenAct]] = RecordsScreen.acts | {"register"}
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("ctrl+n", "register", "Register a new patient", priority=True),
        Binding("down", "move(1)", "Next", priority=True, show=False),
        Binding("up", "move(-1)", "Previous", priority=True, show=False),
        Binding("pagedown", "move(8)", "Further", priority=True, show=False),
        Binding("pageup", "move(-8)", "Back", priority=True, show=False),
    ]

    def __init__(self, text: str = "") -> None:
        """`text`: what is looked for at first."""
        super().__init__()
        self._text = text
        self._all: tuple[PatientEntry, ...] = ()

    def compose(self) -> ComposeResult:
        found = Static(classes="about", id="found")
        field = Input(self._text, placeholder=_PLACEHOLDER)
        yield self.frame("Patients", field, found, RowList(_COLUMNS, "There is no such patient."))

    def load(self) -> None:
        self._all = self.read(lambda clinic: clinic.patients()) or ()
        self._show()

    @on(Input.Changed)
    def _show(self) -> None:
        """Show who fits what is typed, from what was read when the screen came up."""
        text = self.query_one(Input).value.strip()
        time = read_time(text)
        if time is None:
            entries = tuple(each for each in self._all if _fits(each.patient, text.casefold()))
        else:
            entries = self.read(lambda clinic: clinic.patients("", *time)) or ()
        self.query_one(RowList).show([_row(each) for each in entries])
        told = counted(len(entries), "patient")
        if time is not None:
            told += f" seen from {time[0]} to {time[1]}"
        self.query_one("#found", Static).update(Content(told))

    @on(Input.Submitted)
    def _enter(self) -> None:
        self.open_chosen(self.query_one(RowList).chosen())

    def action_move(self, by: int) -> None:
        self.query_one(RowList).move(by)

    def open_chosen(self, name: str | None) -> None:
        if name is not None:
            self.app.push_screen(PatientScreen(name))

    def act(self, act: ScreenAct) -> None:
        if act == "register":
            self.action_register()
        else:
            super().act(act)

    def action_register(self) -> None:
        """A new patient; what is typed to find one is proposed as the identifier if none fits."""
        text = self.query_one(Input).value.strip()
        nobody = self.query_one(RowList).chosen() is None and read_time(text) is None
        self.app.push_screen(RegisteringDialog(None, text if nobody else ""), self._registered)

    def _registered(self, patient: Patient | None) -> None:
        if patient is not None:
            self.search(patient.id)
            self.load()

    def understand(self, said: Said) -> bool:
        """ "Zero zero seven", "patient double oh seven": looks for 007.

        The list shows who was found, so that a likelier reading without digits may stand back.
        """
        heard = said.utterance
        texts = [each.text for each in heard.hypotheses] + [heard.free_text or ""]
        readings = (said.words, *(_bare(each) for each in texts))
        digits = next(filter(None, map(identifier_digits, readings)), None)
        if digits is not None:
            self.search(digits)
        return digits is not None

    def search(self, text: str) -> None:
        """Look for that text instead."""
        self.query_one(Input).value = text


def read_time(text: str) -> tuple[date, date] | None:
    """First and last day of "2031", "2031-03", "2031-03-04" or "2031-03-01..2031-03-15"."""
    match = _TIME.fullmatch(text.strip())
    if match is None or (len(match["since"]) < len("2031-03") and not match["until"]):
        return None
    try:
        return _ends(match["since"])[0], _ends(match["until"] or match["since"])[1]
    except ValueError:
        return None


def _ends(text: str) -> tuple[date, date]:
    parts = [int(each) for each in text.split("-")]
    year, month, day = (*parts, 0, 0)[:3]
    if day:
        return date(year, month, day), date(year, month, day)
    first, last = month or 1, month or 12
    return date(year, first, 1), date(year, last, calendar.monthrange(year, last)[1])


def _bare(text: str) -> tuple[str, ...]:
    return tuple(re.findall(r"[a-z]+", text.casefold()))


def _fits(patient: Patient, wanted: str) -> bool:
    return wanted in patient.id.casefold() or wanted in (patient.name or "").casefold()


def _row(entry: PatientEntry) -> Row:
    patient = entry.patient
    born = str(patient.birth_year) if patient.birth_year else ""
    name = ", ".join(filter(None, (patient.name, born)))
    visits = f"{entry.visits}, {entry.last_visit}" if entry.last_visit else "none signed"
    cells = (
        Content.styled(visible(patient.id), "bold $primary"),
        Content(visible(name)),
        Content(visits),
        Content.styled(str(entry.open_lesions or "–"), "bold" if entry.open_lesions else "$muted"),
        next_words(entry.next),
    )
    return Row(patient.id, cells)


def next_words(row: DueRow | None) -> Content:
    """The most pressing line of the worklist, in two or three words."""
    if row is None:
        return Content.styled("–", "$muted")
    style = {"overdue": "bold $error", "due this week": "bold $warning"}.get(row.status, "")
    return Content.styled(f"{row.status} {row.due or ''}".strip(), style)
