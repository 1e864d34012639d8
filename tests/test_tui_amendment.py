"""An amendment as it is put together, and what it becomes."""

from __future__ import annotations

import pytest

from dictate.errors import ExamError
from dictate.exam.commands import AddFinding, ChangeField, Decide, DeleteFinding
from dictate.exam.session import Session
from dictate.tui.amendment import Amendment
from tests.exam_samples import PLAQUE
from tests.visit_samples import RULES, at, chair, days


def signed() -> Session:
    made = chair(followup=RULES)
    made.plaque(colours=())
    made.plaque(side="right", colours=())
    made.key(Decide(target="f1", decision="recheck", reason="trauma likely"))
    made.key(Decide(target="f2", decision="recheck", reason="trauma likely"))
    made.signed()
    return made.session


def test_nothing_chosen_changes_nothing() -> None:
    amendment = Amendment(signed())
    assert amendment.is_empty
    assert list(amendment.lines()) == []
    assert amendment.command("A. Berg", "why").changes == ()


def test_the_finding_is_shown_as_it_will_be_and_the_record_stays() -> None:
    session = signed()
    amendment = Amendment(session)
    amendment.correct("f1", "size_mm", [12.0, 6.0])
    found = amendment.finding("f1")
    assert found is not None
    assert found.size_mm == (12.0, 6.0)
    assert session.findings[0].size_mm == (10.0, 6.0)
    assert list(amendment.lines()) == ["f1 size: 10 by 6 mm -> 12 by 6 mm"]
    amendment.correct("f1", "size_mm", [10.0, 6.0])
    assert amendment.is_empty, "its old value takes the correction back"


def test_a_value_that_does_not_fit_is_refused_at_once() -> None:
    amendment = Amendment(signed())
    with pytest.raises(ExamError, match="size"):
        amendment.correct("f1", "size_mm", [-1.0])
    assert amendment.is_empty


def test_all_kinds_of_changes_become_one_version() -> None:
    session = signed()
    amendment = Amendment(session)
    amendment.correct("f1", "size_mm", [12.0, 6.0])
    amendment.strike("f2")
    amendment.add(PLAQUE.model_copy(update={"region": "buccal mucosa", "subsite": None}))
    amendment.decide(Decide(target="f1", decision="refer", reason="has grown"))
    command = amendment.command("B. Holm", "found on the photograph")
    kinds = [type(each) for each in command.changes]
    assert kinds == [ChangeField, DeleteFinding, AddFinding, Decide]
    session.do(command, actor="keyboard", at=at(session.examined_on + days(1)))
    assert session.version == 2
    assert [each.id for each in session.findings] == ["f1", "f3"]
    assert session.findings[0].size_mm == (12.0, 6.0)
    made = session.decision("f1")
    assert made is not None
    assert made.decision == "refer"


def test_striking_out_takes_the_other_changes_of_that_finding_along() -> None:
    amendment = Amendment(signed())
    amendment.correct("f1", "side", "right")
    amendment.strike("f1")
    assert [type(each) for each in amendment.command("B", "w").changes] == [DeleteFinding]
    amendment.strike("f1")
    assert [type(each) for each in amendment.command("B", "w").changes] == [ChangeField]
    amendment.add(PLAQUE)
    assert amendment.drop_last_added()
    assert not amendment.drop_last_added()
