"""The clinic's records as documents gather them."""

from __future__ import annotations

from pathlib import Path

from dictate.exam.commands import NoteRisk
from dictate.pipeline.clinic import Clinic, gathered
from dictate.store import trail
from dictate.store.store import Store
from tests.visit_samples import FIRST, LATER, chair, days


def test_the_risk_history_of_earlier_visits_is_told_with_its_day(tmp_path: Path) -> None:
    """What was told again later counts; what was told later than the record is not in it."""
    told = (
        (FIRST, (("tobacco", "yes"), ("alcohol", "yes"))),
        (LATER, (("alcohol", "no"),)),
        (LATER + days(30), (("sun on the lips", "yes"),)),
    )
    with Store(tmp_path) as store:
        for number, (day, risks) in enumerate(told):
            made = chair(day, session=f"s{number}")
            for factor, answer in risks:
                made.key(NoteRisk.model_validate({"factor": factor, "answer": answer}))
            made.signed()
            store.create(made.session)
        extras, problem = gathered(store, store.load("s1"))
    assert problem is None
    assert [(each.topic, each.words) for each in extras.risks] == [
        ("alcohol", "no"),
        ("tobacco", f"yes, told on {FIRST}"),
    ]


def test_a_session_without_a_patient_gathers_nothing_from_others(tmp_path: Path) -> None:
    with Store(tmp_path) as store:
        made = chair(FIRST, patient=None, session="s1")
        made.signed()
        store.create(made.session)
        extras, problem = Clinic(store).extras(store.load("s1"))
    assert (extras.risks, problem) == ((), None)


def test_what_is_looked_at_and_exported_stands_in_the_audit_trail(tmp_path: Path) -> None:
    """A screen that is come back to reads again, and is one look."""
    with Store(tmp_path) as store:
        made = chair(FIRST, session="s1")
        made.signed()
        store.create(made.session)
        clinic = Clinic(store)
        clinic.due()
        clinic.due()
        session = clinic.record("s1")
        clinic.exported(session, "pdf")
        clinic.every_session()
        database = store.database()
        with database.transaction("read the trail") as transaction:
            found = [
                (each.action, each.session, each.detail)
                for each in trail.entries(transaction, database.sealer)
                if each.action != "anchored"
            ]
    assert found == [
        ("listed", None, "worklist"),
        ("viewed", "s1", ""),
        ("exported", "s1", "pdf"),
        ("listed", None, "sessions"),
    ]
