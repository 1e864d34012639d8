"""Rules, a first visit and what it left, for the tests of follow-up."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

from dictate.exam.finding import FindingFields
from dictate.exam.lesion_history import lesions
from dictate.exam.lesions import Lesion, Sighting
from dictate.exam.protocol import Protocol
from dictate.exam.session import Session
from dictate.exam.visits import Visit, visit_of
from dictate.vocabulary.followup import FollowUp
from dictate.vocabulary.loader import load
from tests.exam_samples import PLAQUE, PROTOCOL, Chair

FIRST = date(2031, 3, 4)
LATER = date(2031, 3, 18)
"""Exactly two weeks after."""
RULES = load().followup.chosen()
WHOLE = Protocol.of(load())


def rules_of(*jurisdictions: str) -> FollowUp:
    """The rules as a clinic of these jurisdictions uses them."""
    everything = load().followup
    settings = everything.settings.model_copy(update={"jurisdictions": jurisdictions})
    return everything.model_copy(update={"settings": settings}).chosen()


def at(day: date) -> datetime:
    return datetime(day.year, day.month, day.day, 9, 30, tzinfo=UTC)


def chair(
    day: date = FIRST,
    *,
    open_: tuple[Lesion, ...] = (),
    followup: FollowUp | None = None,
    patient: str | None = "P-17",
    session: str | None = None,
    protocol: Protocol = PROTOCOL,
) -> Chair:
    """A session of that day, to be driven."""
    started = Session.start(
        session or f"s-{day}",
        protocol,
        at(day),
        patient=patient,
        on=day,
        lesions=open_,
        followup=followup,
    )
    made = Chair(started)
    made.now = at(day)
    return made


def first_visit(*findings: FindingFields) -> Visit:
    """A signed visit of the first day with these findings."""
    made = chair()
    for fields in findings or (PLAQUE,):
        made.plaque(**fields.model_dump())
    made.signed()
    return visit_of(made.session)


def open_lesion(number: int = 1, day: date = FIRST, **fields: object) -> Lesion:
    """A lesion seen once, on that day: the usual plaque with other fields where given."""
    seen = FindingFields.model_validate({**PLAQUE.model_dump(), **fields})
    sighting = Sighting(session="s0", on=day, what="new", finding=f"f{number}", fields=seen)
    return Lesion(id=f"s0/f{number}", number=number, patient="P-17", sightings=(sighting,))


def left_by(*visits: Visit) -> tuple[Lesion, ...]:
    """The lesions of these visits."""
    return lesions(visits)


def days(count: int) -> timedelta:
    return timedelta(days=count)
