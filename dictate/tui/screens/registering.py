"""Who a patient is: the clinic's identifier, the name if wanted, the year of birth."""

from __future__ import annotations

from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.content import Content
from textual.widgets import Input, Static

from dictate.errors import DictateError, ExamError
from dictate.exam import names
from dictate.exam.patients import LONGEST, Patient, patient_id, who
from dictate.pipeline.clinic import Clinic
from dictate.pipeline.identifying import alike_words
from dictate.tui.plain import visible
from dictate.tui.screens.asking import AskingDialog
from dictate.tui.screens.records import Attentive

_KNOWN = "{} is known already; open that patient to change name or year of birth."
_STAYS = "What is left empty stays as it was."


class RegisteringDialog(Attentive[Patient]):
    """Result: the patient as kept. All is typed: a misheard name would be somebody else's."""

    why_waits = "a patient is being registered: names and identifiers are typed"
    BINDINGS: ClassVar[list[BindingType]] = [Binding("ctrl+s", "take", "Keep", priority=True)]
    DEFAULT_CSS = """
    RegisteringDialog .label { height: 1; color: $secondary; }
    RegisteringDialog Input { margin: 0 0 1 0; }
    """

    def __init__(self, patient: Patient | None = None, identifier: str = "") -> None:
        """`patient`: whose name and year are kept or changed; None for a new one, whose
        identifier may be proposed."""
        super().__init__()
        self._patient, self._identifier = patient, identifier

    def compose(self) -> ComposeResult:
        known = self._patient
        with Vertical(classes="box"):
            if known is None:
                yield Static(Content("Register a patient"), classes="title")
                yield _label("Identifier, the clinic's own")
                yield Input(self._identifier, id="identifier", max_length=LONGEST)
            else:
                yield Static(Content(visible(f"Patient {known.id}")), classes="title")
                yield Static(Content(_STAYS), classes="hint")
            yield _label("Name (may stay empty)")
            yield Input((known and known.name) or "", id="name", max_length=names.LONGEST)
            yield _label("Year of birth (may stay empty)")
            born = str((known and known.birth_year) or "")
            yield Input(born, id="born", max_length=4, placeholder="four digits")
            yield Static(classes="error")
            yield Static(
                Content("enter goes on   ctrl+s keeps it   escape or “close” drops it"),
                classes="hint",
            )

    def on_mount(self) -> None:
        if self._identifier:
            self.query_one("#name", Input).focus()

    @on(Input.Submitted)
    def _enter(self, event: Input.Submitted) -> None:
        if event.input.id == "born":
            self.action_take()
        else:
            self.focus_next()

    def action_take(self) -> None:
        """Keep it, after a yes where it looks much like another patient."""
        clinic = self.exam_app.clinic
        if clinic is None:
            return
        try:
            self._checked(clinic)
        except DictateError as error:
            self._fail(str(error))

    def _checked(self, clinic: Clinic) -> None:
        if self._patient is not None:
            self._keep(clinic, self._patient.id)
            return
        identifier = patient_id(self._text("identifier"))
        known = clinic.known(identifier)
        if known is not None:
            raise ExamError(_KNOWN.format(who(known)))
        alike = clinic.alike(identifier)
        if not alike:
            self._keep(clinic, identifier)
            return
        question = AskingDialog(f"Register {identifier} as another patient?", alike_words(alike))
        self.app.push_screen(question, lambda yes: self._answered(clinic, identifier, yes))

    def _answered(self, clinic: Clinic, identifier: str, yes: bool | None) -> None:
        if not yes:
            return
        try:
            self._keep(clinic, identifier)
        except DictateError as error:
            self._fail(str(error))

    def _keep(self, clinic: Clinic, identifier: str) -> None:
        kept = clinic.register(identifier, self._text("name"), self._born())
        self.desk.tell(f"Kept: {who(kept)}")
        self.dismiss(kept)

    def _born(self) -> int | None:
        text = self._text("born")
        if text and not (text.isascii() and text.isdigit() and len(text) == 4):
            raise ExamError("Write the year of birth with four digits, as 1956.")
        return int(text) if text else None

    def _text(self, name: str) -> str:
        return self.query_one(f"#{name}", Input).value.strip()

    def _fail(self, why: str) -> None:
        error = self.query_one(".error", Static)
        error.update(Content(visible(why)))
        error.display = True


def _label(text: str) -> Static:
    return Static(Content(text), classes="label")
