"""Who decided what, and when: at the visit, or later by an amendment."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from dictate.exam import events as ev
from dictate.exam.decisions import AnswerGiven
from dictate.exam.record import Record


def decider(record: Record, target: str) -> tuple[str, date]:
    """Who made the decision that stands on a finding or lesion, and the day.

    In a draft it is nobody yet: "".
    """
    for event, body in _amendments(record):
        if _decides(body, target):
            return body.examiner, event.at.astimezone().date()
    return record.examiner or "", record.examined_on


def recorder(record: Record, given: AnswerGiven) -> str:
    """Who recorded an answer; in a draft, nobody yet: ""."""
    told = (body.examiner for _, body in _amendments(record) if given in body.answered)
    return next(told, record.examiner or "")


def answers_own(record: Record, given: AnswerGiven, target: str) -> bool:
    """True if it answers what this very record decided on that finding or lesion.

    One that is told at the visit, or in one amendment with a new referral, is of an earlier one.
    """
    for _, body in _amendments(record):
        if _decides(body, target):
            return False
        if given in body.answered:
            return True
    return False


def _decides(body: ev.Amended, target: str) -> bool:
    return any(each.target == target for each in body.decided)


def _amendments(record: Record) -> Iterator[tuple[ev.Event, ev.Amended]]:
    """The latest first."""
    for event in reversed(record.events):
        if isinstance(event.body, ev.Amended):
            yield event, event.body
