"""The clinic's records as the screens and documents ask for them: patients, visits, worklist."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from datetime import date
from typing import Literal

from dictate.errors import ExamError, StoreError
from dictate.exam.commands import Amend
from dictate.exam.events import KEYBOARD
from dictate.exam.lesions import Lesion
from dictate.exam.patients import Patient
from dictate.exam.session import Session
from dictate.exam.visits import Visit
from dictate.exam.worklist import DueRow
from dictate.export.extras import Extras, RiskLine
from dictate.export.gather import extras_of
from dictate.pipeline.answers import answer_plan
from dictate.pipeline.examination import Examination, now
from dictate.pipeline.identifying import lookalikes
from dictate.pipeline.opening import moved
from dictate.pipeline.registering import register
from dictate.store.entry import Entry
from dictate.store.patients import PatientBook
from dictate.store.store import Store
from dictate.store.worklist import PatientEntry, Worklist
from dictate.vocabulary.schema import Lexicon


class Clinic:
    """One store, read for people. Every method raises StoreError when the database fails.

    What is looked at and what is exported is noted in the audit trail.
    """

    def __init__(self, store: Store, today: Callable[[], date] = date.today) -> None:
        self._store = store
        self._worklist = Worklist(store)
        self.today = today
        self._noted: tuple[str | None, ...] = ()

    @property
    def problems(self) -> tuple[str, ...]:
        """Why sessions could not be read that the last list passed over."""
        return tuple(self._worklist.problems.values())

    def due(self) -> tuple[DueRow, ...]:
        """The worklist of today."""
        self._note("listed", detail="worklist")
        return self._worklist.due(self.today())

    def patients(
        self, text: str = "", since: date | None = None, until: date | None = None
    ) -> tuple[PatientEntry, ...]:
        """Those whose identifier or name holds the text, seen in that time if it is given."""
        self._note("listed", detail="patients")
        return self._worklist.patients(text, since=since, until=until, today=self.today())

    def patient(self, identifier: str) -> Patient:
        """Who that is; only the identifier where the clinic keeps nothing else."""
        self._note("viewed", patient=identifier)
        known = PatientBook(self._store).get(identifier)
        return known or Patient.model_construct(id=identifier)

    def visits(self, patient: str) -> tuple[Visit, ...]:
        """Signed visits, in order of time."""
        return self._worklist.visits(patient)

    def lesions(self, patient: str) -> tuple[Lesion, ...]:
        """All lesions of a patient, over all visits."""
        return self._worklist.lesions(patient)

    def sessions(self, patient: str) -> tuple[Entry, ...]:
        """Every session of a patient, drafts too, the latest first."""
        return tuple(each for each in self._store.list() if each.patient == patient)

    def every_session(self) -> tuple[Entry, ...]:
        """Drafts too, the latest first."""
        self._note("listed", detail="sessions")
        return self._store.list()

    def record(self, session: str) -> Session:
        """A session to read."""
        found = self._store.load(session)
        self._note("viewed", session=found.id, patient=found.patient)
        return found

    def exported(self, session: Session, form: str) -> None:
        """Note that a document of the session was written."""
        self._store.note("exported", session=session.id, patient=session.patient, detail=form)

    def exported_list(self, what: str) -> None:
        """Note that a list of patients was written."""
        self._store.note("exported", detail=what)

    def extras(self, session: Session) -> tuple[Extras, str | None]:
        """What documents tell beyond the record, and what of it could not be read."""
        return gathered(self._store, session)

    def move(self, lexicon: Lexicon, session: Session, patient: str) -> Examination:
        """A draft under another identifier. Raises ExamError where that cannot be."""
        return moved(self._store, lexicon, session, patient)

    def known(self, identifier: str) -> Patient | None:
        """The patient of that identifier, in whatever capitals; None for a new one."""
        return PatientBook(self._store).get(identifier)

    def register(self, identifier: str, name: str | None, birth_year: int | None) -> Patient:
        """Keep who that is. Raises ExamError for what cannot be kept."""
        return register(self._store, identifier, name, birth_year, today=self.today())

    def alike(self, identifier: str) -> tuple[Patient, ...]:
        """Patients whose identifier is one slip of the keyboard away."""
        return lookalikes(identifier, PatientBook(self._store).all())

    def amend(self, session: str, command: Amend) -> Session:
        """The record with the amendment, kept. Raises ExamError when it does not fit."""
        return self._store.amend(session, command, actor=KEYBOARD, at=now())

    def answer(
        self, lesion: Lesion, words: str, *, by: str, on: date, recheck: date | None
    ) -> Session:
        """Record what came back on a lesion. Raises ExamError where nothing is awaited, and for a
        day that cannot be."""
        return answer_plan(
            self._store, lesion, words, by=by, on=on, recheck=recheck, today=self.today()
        )

    def lesion(self, row: DueRow) -> Lesion:
        """The lesion of a line of the worklist. Raises ExamError when it is not there any more."""
        if row.patient is not None:
            found = self.lesions(row.patient)
        else:
            found = tuple(x for x in self._worklist.all_lesions() if x.patient is None)
        for each in found:
            if each.id == row.lesion_id:
                return each
        raise ExamError(f"{row.lesion} is not there any more; open the worklist again.")

    def _note(
        self,
        action: Literal["listed", "viewed"],
        *,
        session: str | None = None,
        patient: str | None = None,
        detail: str = "",
    ) -> None:
        """Once for each look: a screen reads again whenever it is come back to."""
        look = (action, session, patient, detail)
        if look != self._noted:
            self._noted = look
            self._store.note(action, session=session, patient=patient, detail=detail)


def gathered(store: Store, session: Session) -> tuple[Extras, str | None]:
    """The patient, and what later visits did; a line telling what is not known, if anything."""
    if session.patient is None:
        return extras_of(session), None
    try:
        worklist = Worklist(store)
        patient = PatientBook(store).get(session.patient)
        extras = extras_of(session, patient, worklist.lesions(session.patient))
        earlier = tuple(_told_before(session, worklist.visits(session.patient)))
        return replace(extras, risks=(*extras.risks, *earlier)), None
    except StoreError as error:
        problem = f"later visits are not known, re-checks may show as not done: {error}"
        return extras_of(session), problem


def _told_before(session: Session, visits: Iterable[Visit]) -> Iterator[RiskLine]:
    """The risk history of earlier visits with its day, where today told nothing newer."""
    today = {each.factor for each in session.risks}
    earlier = (each for each in visits if each.on < session.examined_on)
    latest = {risk.factor: (risk, visit.on) for visit in earlier for risk in visit.risks}
    for factor, (risk, on) in latest.items():
        if factor not in today:
            said = f' ("{risk.words}")' if risk.words else ""
            yield RiskLine(factor, f"{risk.answer}{said}, told on {on}")
