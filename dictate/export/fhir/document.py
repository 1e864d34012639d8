"""What every resource of one document needs to know of the session."""

from __future__ import annotations

from dataclasses import dataclass

from dictate.exam.events import Amended, Event, Signed
from dictate.exam.record import Record
from dictate.export.chart import Chart
from dictate.export.extras import Extras
from dictate.export.fhir.ids import made, urn
from dictate.export.fhir.words import Json


@dataclass(frozen=True, slots=True)
class Closing:
    """A signature or an amendment: one event that made a version."""

    event: Event
    body: Signed | Amended


class Document:
    """The session, its chart, and references to who is in it."""

    def __init__(self, session: Record, extras: Extras) -> None:
        self.session = session
        self.chart = Chart(session, extras)
        self.closings = tuple(
            Closing(each, each.body)
            for each in session.events
            if isinstance(each.body, Signed | Amended)
        )
        self.identifier = made(session.id, "document", session.version)

    @property
    def patient_id(self) -> str | None:
        """None when nothing is known of the patient."""
        who = self.chart.patient
        if who.identifier:
            return made("patient", who.identifier)
        return made(self.session.id, "patient") if who.name or who.birth_year else None

    @property
    def subject(self) -> Json | None:
        return reference(self.patient_id) if self.patient_id else None

    @property
    def examiners(self) -> tuple[str, ...]:
        """Names of those who signed or amended, each once, in order."""
        return tuple(dict.fromkeys(each.body.examiner for each in self.closings))

    @property
    def performers(self) -> list[Json]:
        """Who answers for the findings: the signer; nobody for a draft."""
        return [reference(practitioner_id(name)) for name in self.examiners[:1]]

    @property
    def device(self) -> Json:
        return reference(DEVICE)

    @property
    def authors(self) -> list[Json]:
        """Of the document: the examiners; for a draft, which nobody answers for, the program."""
        people = [reference(practitioner_id(name)) for name in self.examiners]
        return people or [self.device]


DEVICE = made("device")


def practitioner_id(name: str) -> str:
    return made("practitioner", name)


def reference(identifier: str) -> Json:
    return {"reference": urn(identifier)}
