"""Patients, lesions and the worklist of a store: computed from what was signed."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest
from dateutil.relativedelta import relativedelta

from dictate.errors import ExamError, StoreError
from dictate.exam.commands import (
    Amend,
    ChangeField,
    Decide,
    DeleteFinding,
    FollowLesion,
    LeaveLesion,
    RecordAnswer,
    ResolveLesion,
)
from dictate.exam.patients import Patient
from dictate.exam.worklist import due
from dictate.pipeline.opening import new_examination
from dictate.speech.heard import typed
from dictate.store.patients import PatientBook
from dictate.store.store import Store
from dictate.store.worklist import Worklist
from dictate.vocabulary.loader import load
from tests.exam_samples import Chair
from tests.visit_samples import FIRST, LATER, RULES, at, chair, days


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with Store(tmp_path) as opened:
        yield opened


def kept(store: Store, made: Chair) -> Chair:
    """Signed, and in the database."""
    made.signed()
    store.create(made.session)
    return made


def visit(
    store: Store,
    day: date = FIRST,
    *,
    patient: str | None = "P-17",
    decision: Decide | None = None,
    session: str | None = None,
) -> Chair:
    """A signed visit with the usual plaque and a decision on it."""
    made = chair(day, patient=patient, followup=RULES, session=session)
    made.plaque(colours=())
    made.key(decision or Decide(target="f1", decision="recheck"))
    return kept(store, made)


def later(store: Store, day: date = LATER, *commands: object) -> Chair:
    """A second visit that begins with the open lesions, as `dictate exam --patient` does."""
    made = chair(day, open_=Worklist(store).open_lesions("P-17"), followup=RULES)
    for command in commands:
        made.key(command)  # type: ignore[arg-type]
    return kept(store, made)


def statuses(store: Store, today: date) -> list[tuple[str, str]]:
    return [(row.lesion, row.status) for row in Worklist(store).due(today)]


# The worklist


@pytest.mark.parametrize(
    ("today", "status", "late"),
    [
        (FIRST, "later", 0),
        (LATER - relativedelta(days=8), "later", 0),
        (LATER - relativedelta(weeks=1), "due this week", 0),
        (LATER, "due this week", 0),
        (LATER + relativedelta(days=1), "overdue", 1),
        (LATER + relativedelta(months=1), "overdue", 31),
    ],
)
def test_a_re_check_comes_due(store: Store, today: date, status: str, late: int) -> None:
    visit(store)
    (row,) = Worklist(store).due(today)
    assert (row.status, row.late_days, row.due) == (status, late, LATER)
    assert row.patient == "P-17"
    assert row.does == "re-check"
    assert row.place == "left lateral border of the tongue"


def test_a_referral_awaits_its_answer_until_it_comes(store: Store) -> None:
    visit(store, decision=Decide(target="f1", decision="refer", reason="persistent"))
    (row,) = Worklist(store).due(LATER + days(5))
    assert (row.status, row.due, row.late_days) == ("awaiting", LATER, 5)
    assert row.does == "ask after the answer (refer or evaluate further)"
    assert row.reason == "persistent"
    answer = RecordAnswer(target="f1", answer="No dysplasia", on=LATER, recheck=LATER + days(90))
    amend = Amend(examiner="A. Berg", why="answer", changes=(answer,))
    store.amend(row.session, amend, actor="keyboard", at=at(LATER))
    (row,) = Worklist(store).due(LATER)
    assert (row.status, row.due) == ("later", LATER + days(90))


def test_a_later_re_check_does_not_hide_an_unanswered_referral(store: Store) -> None:
    visit(store, decision=Decide(target="f1", decision="biopsy", reason="indurated"))
    later(
        store,
        LATER,
        FollowLesion(lesion="L1", what="same"),
        Decide(target="L1", decision="recheck", reason="waiting for the biopsy"),
    )
    assert statuses(store, LATER) == [("L1", "awaiting"), ("L1", "later")]


def test_a_resolved_lesion_is_off_the_list_but_not_its_biopsy(store: Store) -> None:
    visit(store, decision=Decide(target="f1", decision="biopsy", reason="indurated"))
    later(store, LATER, ResolveLesion(lesion="L1"))
    assert statuses(store, LATER) == [("L1", "awaiting")], "taken out: the answer is still due"


def test_a_lesion_that_was_not_looked_at_stays_overdue(store: Store) -> None:
    visit(store)
    later(store, LATER + days(3), LeaveLesion(lesion="L1"))
    (row,) = Worklist(store).due(LATER + days(3))
    assert (row.status, row.late_days) == ("overdue", 3)


def test_no_action_is_on_no_list(store: Store) -> None:
    visit(store, decision=Decide(target="f1", decision="no_action", reason="scar"))
    assert statuses(store, LATER) == []


def test_the_order_of_the_list(store: Store) -> None:
    for name, count in (("later", 30), ("week", 3), ("overdue", -3)):
        day = LATER + days(count - 14)
        visit(store, day, patient=f"P-{name}", session=f"s-{name}")
    refer = Decide(target="f1", decision="refer", reason="x")
    visit(store, patient="P-refer", session="s-refer", decision=refer)
    rows = Worklist(store).due(LATER)
    assert [row.patient for row in rows] == ["P-overdue", "P-week", "P-refer", "P-later"]


def test_a_record_signed_without_rules_is_not_forgotten(store: Store) -> None:
    made = chair(followup=None)
    made.plaque()
    kept(store, made)
    (row,) = Worklist(store).due(LATER)
    assert (row.status, row.due) == ("due this week", LATER)
    assert row.reason == "no decision was recorded"


def test_a_session_without_a_patient_is_on_the_list(store: Store) -> None:
    visit(store, patient=None, session="s-a")
    visit(store, patient=None, session="s-b")
    rows = Worklist(store).due(LATER)
    assert [(row.patient, row.lesion) for row in rows] == [(None, "L1"), (None, "L1")]


def test_drafts_do_not_count(store: Store) -> None:
    made = chair(followup=RULES)
    made.plaque()
    store.create(made.session)
    assert Worklist(store).visits() == ()
    assert statuses(store, LATER) == []


def test_what_was_done_in_time(store: Store) -> None:
    visit(store)
    later(
        store,
        LATER + days(1),
        FollowLesion(lesion="L1", what="same"),
        Decide(target="L1", decision="recheck", reason="still there"),
    )
    later(store, LATER + days(10), ResolveLesion(lesion="L1"))
    first, second = Worklist(store).completed()
    assert (first.due, first.done, first.in_time) == (LATER, LATER + days(1), False)
    assert (second.due, second.done, second.in_time) == (
        LATER + days(15),
        LATER + days(10),
        True,
    )


# The kept visits


def test_an_amendment_is_seen_at_once(store: Store) -> None:
    made = visit(store)
    assert Worklist(store).lesions("P-17")[0].fields.side == "left"
    change = ChangeField(target="f1", field="side", value="right")
    amend = Amend(examiner="B", why="wrong side", changes=(change,))
    store.amend(made.session.id, amend, actor="keyboard", at=at(LATER))
    assert Worklist(store).lesions("P-17")[0].fields.side == "right"
    strike = Amend(examiner="B", why="wrong patient", changes=(DeleteFinding(target="f1"),))
    store.amend(made.session.id, strike, actor="keyboard", at=at(LATER))
    assert Worklist(store).lesions("P-17") == ()


def test_what_was_kept_is_computed_anew_at_need(store: Store) -> None:
    visit(store)
    before = Worklist(store).visits()
    with sqlite3.connect(store.home / "records.db") as database:
        database.execute("UPDATE visits SET visit = '{\"nonsense\": 1}'")
    assert Worklist(store).visits() == before
    with sqlite3.connect(store.home / "records.db") as database:
        database.execute("UPDATE visits SET form = 0, visit = 'x'")
    assert Worklist(store).visits() == before
    assert Worklist(store).rebuild() == 1
    assert Worklist(store).visits() == before


def test_a_damaged_session_is_told_and_never_passed_over_for_its_patient(store: Store) -> None:
    visit(store, session="s-a")
    visit(store, patient="P-18", session="s-b")
    store.database()
    with sqlite3.connect(store.home / "records.db") as database:
        database.execute("DROP TRIGGER events_never_change")
        database.execute("UPDATE events SET at = 'x' WHERE session_id = 's-a' AND seq = 2")
    worklist = Worklist(store)
    assert [row.patient for row in worklist.due(LATER)] == ["P-18"]
    assert "altered" in worklist.problems["s-a"]
    with pytest.raises(StoreError, match="altered"):
        Worklist(store).open_lesions("P-17")
    with pytest.raises(StoreError, match="earlier visits of P-17 cannot be read"):
        new_examination(store, load(), patient="P-17")
    assert len(Worklist(store).open_lesions("P-18")) == 1


# Patients


def test_patients_are_registered_and_found(store: Store) -> None:
    book = PatientBook(store)
    book.register(Patient.of("P-17", "Ada Rowan", 1961))
    book.register(Patient.of("Q-2", "Bo Fern"))
    visit(store, patient="R-9")
    assert [each.id for each in book.all()] == ["P-17", "Q-2", "R-9"]
    assert [each.id for each in book.find("rowan")] == ["P-17"]
    assert [each.id for each in book.find("-")] == ["P-17", "Q-2", "R-9"]
    assert book.known("p-17").name == "Ada Rowan"
    assert book.get("P-99") is None
    with pytest.raises(StoreError, match="no patient P-99"):
        book.known("P-99")


def test_registering_again_keeps_what_is_not_given(store: Store) -> None:
    book = PatientBook(store)
    book.register(Patient.of("P-17", "Ada Rowan", 1961))
    assert book.register(Patient.of("p-17")) == Patient.of("P-17", "Ada Rowan", 1961)
    assert book.register(Patient.of("P-17", birth_year=1962)).birth_year == 1962
    assert len(book.all()) == 1


def test_capitals_alone_tell_no_two_patients_apart_silently(store: Store) -> None:
    visit(store, patient="P-17", session="s-a")
    visit(store, patient="p-17", session="s-b")
    assert PatientBook(store).known("p-17").id == "p-17"
    assert PatientBook(store).known("P-17").id == "P-17"
    with sqlite3.connect(store.home / "records.db") as database:
        database.execute("DROP TRIGGER final_sessions_keep_their_signature")
        sealer = store.unlocked()
        other, was = (sealer.seal_alike(each, "sessions.patient") for each in ("P-17 ", "p-17"))
        database.execute("UPDATE sessions SET patient = ? WHERE patient = ?", (other, was))
        assert database.execute("SELECT changes()").fetchone() == (1,)
    assert PatientBook(store).known("P-17").id == "P-17"


def test_the_list_of_patients(store: Store) -> None:
    visit(store)
    visit(store, LATER, patient="P-18", session="s-b")
    book = PatientBook(store)
    book.register(Patient.of("P-17", "Ada Rowan"))
    book.register(Patient.of("P-20", "Never Seen"))
    first, second, third = Worklist(store).patients(today=LATER)
    assert (first.patient.name, first.visits, first.last_visit, first.open_lesions) == (
        "Ada Rowan",
        1,
        FIRST,
        1,
    )
    assert first.next is not None
    assert first.next.status == "due this week"
    assert second.next is not None
    assert second.next.status == "later"
    assert (third.visits, third.last_visit, third.next) == (0, None, None)
    found = Worklist(store).patients(since=LATER, until=LATER)
    assert [each.patient.id for each in found] == ["P-18"]
    assert [each.patient.id for each in Worklist(store).patients("ada")] == ["P-17"]


# Beginning a visit


def test_a_new_examination_begins_with_the_open_lesions(store: Store) -> None:
    visit(store)
    examination = new_examination(store, load(), patient="p-17")
    session = examination.session
    assert session.patient == "P-17"
    assert [each.lesion.label for each in session.lesions] == ["L1"]
    assert session.state.followup == RULES
    context = examination.context()
    assert context.lesions == session.lesions
    assert context.on == session.examined_on
    assert examination.problem is None


def test_a_new_patient_is_registered(store: Store) -> None:
    session = new_examination(store, load(), patient=" P-30 ").session
    assert session.patient == "P-30"
    assert session.lesions == ()
    assert PatientBook(store).known("P-30").id == "P-30"
    with pytest.raises(ExamError, match="identifier"):
        new_examination(store, load(), patient="\u200b")


def test_one_lesion_from_voice_to_worklist(store: Store) -> None:
    """What is said at the second visit describes the lesion of the first."""
    visit(store)
    examination = new_examination(store, load(), patient="P-17")
    examination.hear(typed("lesion one smaller, six by four millimetres"))
    (finding,) = examination.session.findings
    assert finding.size_mm == (6.0, 4.0)
    assert finding.change == "shrinking"
    assert examination.session.lesions[0].status == "changed"


def test_the_rows_need_no_store(store: Store) -> None:
    visit(store)
    assert due(Worklist(store).all_lesions(), LATER) == Worklist(store).due(LATER)
