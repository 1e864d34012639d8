"""The clinic's records beside the examination: opening them, and coming back."""

from __future__ import annotations

from textual.app import App

from dictate.errors import DictateError
from dictate.exam import commands as cmd
from dictate.exam.events import KEYBOARD, VOICE
from dictate.exam.patients import Patient
from dictate.exam.session import Session
from dictate.export.extras import Extras
from dictate.export.gather import extras_of
from dictate.pipeline.clinic import Clinic
from dictate.tui.desk import Desk
from dictate.tui.ports import Writers
from dictate.tui.screens.base import Dialog, Speech
from dictate.tui.screens.deciding import DecisionDialog
from dictate.tui.screens.earlier import EarlierDialog
from dictate.tui.screens.examining import ExaminingScreen
from dictate.tui.screens.exporting import ExportDialog
from dictate.tui.screens.identifying import IdentifierDialog
from dictate.tui.screens.kept import KeptScreen
from dictate.tui.screens.patient import PatientScreen
from dictate.tui.screens.patients import PatientsScreen
from dictate.tui.screens.records import RecordsScreen
from dictate.tui.screens.registering import RegisteringDialog
from dictate.tui.screens.reviewing import ReviewingScreen
from dictate.tui.screens.worklist import WorklistScreen


class Beside(App[None]):
    """The part of the application that opens records over the examination."""

    beneath = "To the examination"
    """What F8 does in the records' screens."""
    begins = False
    """True if an examination can be begun from a patient."""

    def __init__(self, desk: Desk, clinic: Clinic | None, writers: Writers) -> None:
        super().__init__()
        self.desk, self.clinic, self._writers = desk, clinic, writers

    def export(self, session: Session) -> None:
        """Ask where to write a document of that session."""
        if self._writers:
            self.push_screen(ExportDialog(self._writers, session, self._extras(session)))
        else:
            self.desk.tell("Nothing to export with.", warning=True)

    def _extras(self, session: Session) -> Extras:
        """The patient, and what other visits did: told where it cannot be read."""
        if self.clinic is None:
            return extras_of(session)
        extras, problem = self.clinic.extras(session)
        if problem:
            self.desk.tell(problem, warning=True)
        return extras

    def action_worklist(self) -> None:
        self.push_screen(WorklistScreen())

    def action_patients(self) -> None:
        self.find_patient("")

    def find_patient(self, text: str) -> None:
        """Show the patients whose identifier or name holds the text."""
        if isinstance(self.screen, PatientsScreen):
            self.screen.search(text)
        else:
            self.push_screen(PatientsScreen(text))

    def action_kept(self) -> None:
        self.push_screen(KeptScreen())

    def action_this_patient(self) -> None:
        patient = self.desk.session.patient
        if patient is None:
            self.desk.tell("This examination is of no patient that was named.", warning=True)
        else:
            self.push_screen(PatientScreen(patient))

    def action_earlier(self) -> None:
        if self.desk.session.lesions:
            self.push_screen(EarlierDialog())
        else:
            self.desk.tell("No lesion of an earlier visit is open.", warning=True)

    def action_decide(self) -> None:
        """Decide on the finding under the cursor, or on the one that the review asks about."""
        screen, session = self.screen, self.desk.session
        name = screen.decides() if isinstance(screen, ExaminingScreen | ReviewingScreen) else None
        self.decide(name or (session.findings[-1].id if session.findings else None))

    def decide(self, target: str | None) -> None:
        """Ask for the decision on a finding of this examination, and record it."""
        session = self.desk.session
        finding = session.finding(target or "")
        if finding is None or session.is_final:
            self.desk.tell("There is no finding to decide on.", warning=True)
            return
        found, made = session.assessment(finding.id), session.decision(finding.id)
        dialog = DecisionDialog(finding, found, session.state, made)

        def decided(command: cmd.Decide | None) -> None:
            if command is not None:
                self.desk.do(command, VOICE if dialog.spoken else KEYBOARD)

        self.push_screen(dialog, decided)

    def going_on(self) -> str:
        """What the records' screens say of the examination that lies under them."""
        session = self.desk.session
        whose = f"of {session.patient}" if session.patient else "of no named patient"
        return f"beside the examination {whose}"

    def to_examination(self) -> None:
        """Close whatever lies over the examination, up to what would be lost by that.

        Asked for in the confirmation pass itself, it leaves that.
        """
        if isinstance(self.screen, ReviewingScreen):
            self.screen.action_back()
            return
        while isinstance(self.screen, Dialog) and self.screen.speech is not Speech.HELD:
            if isinstance(self.screen, RecordsScreen) and self.screen.unsaved():
                self.screen.action_close()
                return
            self.pop_screen()

    def ask_for_patient(self) -> None:
        """The draft goes on under the identifier that is typed."""
        self.push_screen(IdentifierDialog(), self._give)

    def register_patient(self) -> None:
        """Name and year of birth of the patient in the chair; over records, a new patient."""
        patient, clinic = self.desk.session.patient, self.clinic
        if clinic is None:
            self.desk.tell("No records are kept beside this examination.", warning=True)
            return
        if any(isinstance(each, RegisteringDialog) for each in self.screen_stack):
            return
        if patient is None or any(isinstance(each, RecordsScreen) for each in self.screen_stack):
            self.push_screen(RegisteringDialog())
            return
        try:
            known = clinic.known(patient) or Patient.of(patient)
        except DictateError as error:
            self.desk.tell(str(error), warning=True)
            return
        self.push_screen(RegisteringDialog(known))

    def _give(self, patient: str | None) -> None:
        session = self.desk.session
        if patient is None or self.clinic is None:
            return
        try:
            examination = self.clinic.move(self.desk.lexicon, session, patient)
        except DictateError as error:
            self.desk.tell(str(error), warning=True)
            return
        self.desk.examination = examination
        new = examination.session
        told = new.started.newcomer or f"The draft goes on under {new.patient}."
        self.desk.tell(told, warning=bool(new.started.newcomer))

    def amended(self, session: Session) -> None:
        """A record was amended: the examination shows it too if it is the same."""
        if session.id == self.desk.session.id:
            self.desk.examination.session = session
            self.desk.changed()

    def begin_examination(self, patient: str) -> None:
        """Only at the desk: here one is going on."""
        self.desk.tell(
            f"An examination is going on; leave it to begin one of {patient}.", warning=True
        )
