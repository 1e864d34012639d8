"""`dictate demo`: an invented clinic, made by the real examination, in a folder of its own."""

from __future__ import annotations

from collections import Counter
from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from dictate.exam.events import Amended
from dictate.exam.session import Session
from dictate.pipeline.demo.stories import stories
from dictate.store.store import Store
from dictate.store.worklist import Worklist
from tests.cli_runner import assert_refused, dictate

TODAY = date(2031, 6, 1)


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("demo") / "clinic"
    ran = dictate("demo", "--home", folder, "--today", str(TODAY))
    assert ran.code == 0, ran.err
    assert "30 invented patients" in ran.out
    return folder


@pytest.fixture(scope="module")
def sessions(home: Path) -> list[Session]:
    with Store(home) as store:
        return [store.load(entry.id) for entry in store.list()]


def test_it_is_the_same_clinic_every_time_and_not_where_the_users_records_are(
    home: Path, tmp_path: Path
) -> None:
    """DICTATE_HOME names the real records: the demonstration does not look at it."""
    assert stories() == stories()
    assert len({each.patient.id for each in stories()}) == 30
    assert len({each.patient.name for each in stories()}) == 30
    again, own = tmp_path / "again", tmp_path / "own"
    assert dictate("demo", "--home", again, "--today", str(TODAY), home=own).code == 0
    assert not own.exists()
    with Store(home) as one, Store(again) as two:
        assert Worklist(one).due(TODAY) == Worklist(two).due(TODAY)
        assert [each.id for each in one.list()] == [each.id for each in two.list()]


def test_nothing_that_was_dictated_was_lost_or_left_in_doubt(sessions: list[Session]) -> None:
    for session in sessions:
        for heard in session.utterances:
            assert heard.kind != "ignored", heard.text
            assert not heard.not_understood, heard.text
            assert not heard.failed, heard.text
        if session.is_final:
            assert not any(each.needs_review for each in session.findings)


def test_every_screen_has_something_to_show(home: Path, sessions: list[Session]) -> None:
    with Store(home) as store:
        worklist = Worklist(store)
        statuses = Counter(row.status for row in worklist.due(TODAY))
        lesions = worklist.all_lesions()
        patients = worklist.patients(today=TODAY)
        done = worklist.completed()
    assert set(statuses) == {"overdue", "due this week", "awaiting", "later"}
    assert len(patients) == 30
    assert {each.state for each in lesions} == {"open", "resolved"}
    assert any(len(list(each.sizes())) > 2 or len(each.seen) > 1 for each in lesions)
    assert any(plan.answer for each in lesions for plan in each.plans)
    assert {each.in_time for each in done} == {True, False}
    assert [each.is_final for each in sessions].count(False) == 1
    assert {risk.factor for each in sessions for risk in each.risks} >= {
        "tobacco",
        "alcohol",
        "betel and areca",
        "sun on the lips",
        "previous disease",
    }


def test_every_decision_of_a_rule_that_is_met_has_its_reason(sessions: list[Session]) -> None:
    asked = 0
    for session in sessions:
        for finding in session.findings if session.is_final else ():
            found = session.assessment(finding.id)
            decision = session.decision(finding.id)
            assert (decision is None) == (found.recheck_on is None)
            if found.asking:
                asked += 1
                assert decision is not None
                assert decision.reason
    assert asked > 10


def test_an_answer_is_recorded_on_the_day_that_it_came(sessions: list[Session]) -> None:
    events = [event for session in sessions for event in session.events]
    told = [(x.at.date(), x.body.answered) for x in events if isinstance(x.body, Amended)]
    answers = [(day, each.on) for day, answered in told for each in answered]
    assert answers
    assert all(day == on for day, on in answers)


def test_records_that_are_there_are_not_touched(home: Path) -> None:
    assert_refused(dictate("demo", "--home", home), "holds records already")


def test_no_record_of_today_lies_ahead(tmp_path: Path) -> None:
    """A session from later today would be told as a clock that was set back."""
    assert dictate("demo", "--home", tmp_path).code == 0
    with Store(tmp_path) as store:
        assert max(each.created for each in store.list()) < datetime.now(UTC)
