"""Answers that come back on referrals and biopsies, when the patient is not in the chair."""

from __future__ import annotations

from datetime import date, datetime

from dictate.errors import ExamError
from dictate.exam.commands import Amend, RecordAnswer
from dictate.exam.events import KEYBOARD
from dictate.exam.lesions import Lesion
from dictate.exam.session import Session
from dictate.pipeline.examination import now
from dictate.store.patients import PatientBook
from dictate.store.store import Store
from dictate.store.worklist import Worklist

WHY = "an answer came back"


def record_answer(
    store: Store,
    patient: str,
    lesion: str,
    answer: str,
    *,
    by: str,
    on: date,
    recheck: date | None = None,
    at: datetime | None = None,
) -> Session:
    """Amend the session where the referral was decided. `lesion`: its label, "L2"; `at`: when it
    is recorded, now if not given.

    Raises ExamError where nothing is awaited, StoreError where it cannot be kept.
    """
    known = PatientBook(store).known(patient)
    found = _lesion(Worklist(store).lesions(known.id), lesion)
    return answer_plan(store, found, answer, by=by, on=on, recheck=recheck, at=at)


def answer_plan(
    store: Store,
    lesion: Lesion,
    answer: str,
    *,
    by: str,
    on: date,
    recheck: date | None = None,
    at: datetime | None = None,
    today: date | None = None,
) -> Session:
    """The same for a lesion that was read: the oldest referral without an answer is answered.

    `today`: that of the clinic, where it is not the clock's.
    """
    if not lesion.awaited:
        whose = f" of {lesion.patient}" if lesion.patient else ""
        raise ExamError(f"No answer is awaited on {lesion.label}{whose}.")
    recorded = at or now()
    # Where the clock is behind the visits, the last of them is nearer to the truth.
    if on > max(today or recorded.astimezone().date(), lesion.latest.on):
        raise ExamError(f"{on} lies ahead; give the day that the answer came.")
    plan = lesion.awaited[0]
    command = RecordAnswer(target=plan.finding or lesion.id, answer=answer, on=on, recheck=recheck)
    amend = Amend(examiner=by, why=WHY, changes=(command,))
    return store.amend(plan.session, amend, actor=KEYBOARD, at=recorded)


def _lesion(lesions: tuple[Lesion, ...], name: str) -> Lesion:
    wanted = name.strip().upper()
    for each in lesions:
        if wanted in (each.label, str(each.number)):
            return each
    known = ", ".join(each.label for each in lesions) or "none"
    raise ExamError(f"There is no lesion {name}; there are: {known}.")
