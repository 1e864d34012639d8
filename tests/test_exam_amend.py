from __future__ import annotations

import pytest

from dictate.errors import ExamError
from dictate.exam.commands import AddFinding, Amend, ChangeField, DeleteFinding
from dictate.exam.events import Amended
from dictate.exam.finding import FieldValue, FindingFields
from dictate.exam.session import Session
from tests.exam_samples import PLAQUE, Chair


@pytest.fixture
def chair() -> Chair:
    chair = Chair()
    chair.plaque()
    chair.plaque(side="right", region="buccal mucosa", subsite=None)
    chair.signed()
    return chair


def change(field: str, value: FieldValue, target: str = "f1") -> ChangeField:
    return ChangeField(target=target, field=field, value=value)


def amend(chair: Chair, *changes: ChangeField | DeleteFinding | AddFinding, **more: str) -> Amended:
    who = {"examiner": "C. Dahl", "why": "wrong side noticed at the chart review", **more}
    command = Amend.model_validate({**who, "changes": changes})
    (event,) = chair.session.do(command, actor="C. Dahl", at=chair.tick()).events
    assert isinstance(event.body, Amended)
    return event.body


def test_an_amendment_says_who_when_what_and_why(chair: Chair) -> None:
    signed = chair.session.events
    body = amend(chair, change("side", "right"), change("size_mm", [12.0]))
    assert (body.version, body.examiner) == (2, "C. Dahl")
    assert body.why == "wrong side noticed at the chart review"
    assert [(each.field, each.old, each.new) for each in body.changed] == [
        ("side", "left", "right"),
        ("size_mm", [10.0, 6.0], [12.0]),
    ]
    assert chair.session.version == 2
    assert chair.session.findings[0].side == "right"
    assert chair.session.findings[0].size_mm == (12.0,)
    assert chair.session.examiner == "A. Berg"
    assert chair.session.events[:-1] == signed
    assert chair.session.events[-1].at == chair.now


def test_the_version_before_can_still_be_read(chair: Chair) -> None:
    amend(chair, change("side", "right"))
    amend(chair, change("kind", "ulcer"))
    sides = [chair.session.at_version(each).findings[0].side for each in (1, 2, 3)]
    assert sides == ["left", "right", "right"]
    assert chair.session.at_version(3).state == chair.session.state
    for missing in (0, 4):
        with pytest.raises(ExamError, match="has versions 1 to 3"):
            chair.session.at_version(missing)


def test_findings_are_struck_and_added(chair: Chair) -> None:
    added = FindingFields(region="hard palate", normal_variant="torus palatinus")
    body = amend(chair, DeleteFinding(target="f2"), AddFinding(fields=added))
    assert [each.id for each in body.struck] == ["f2"]
    assert [each.id for each in chair.session.findings] == ["f1", "f3"]
    assert Session.from_events(chair.session.events).state == chair.session.state


@pytest.mark.parametrize(
    ("changes", "cause"),
    [
        ((), "changes nothing"),
        ((change("side", "left"),), "is that already"),
        ((change("side", "lift"),), "side cannot be that"),
        ((change("side", None),), "no side was said"),
        ((change("region", None),), "no region was said"),
        ((change("region", "elbow"),), "No region is called elbow"),
        ((change("region", "hard palate"),), "not a part of the hard palate"),
        ((change("side", "right", "f9"),), "no finding f9"),
        ((AddFinding(fields=FindingFields(region="face")),), "settle it first"),
        ((change("side", "right"), DeleteFinding(target="f1")), "both changed and struck"),
    ],
)
def test_an_amendment_that_does_not_fit_changes_nothing(
    chair: Chair, changes: tuple[ChangeField], cause: str
) -> None:
    before = chair.session.events, chair.session.state
    with pytest.raises(ExamError, match=cause):
        amend(chair, *changes)
    assert (chair.session.events, chair.session.state) == before


def test_moving_a_finding_in_one_amendment(chair: Chair) -> None:
    amend(chair, change("region", "hard palate"), change("subsite", None))
    assert chair.session.findings[0].region == "hard palate"


def test_an_amendment_needs_a_reason_and_a_name_and_a_final_record(chair: Chair) -> None:
    with pytest.raises(ExamError, match="why"):
        amend(chair, change("side", "right"), why=" ")
    with pytest.raises(ExamError, match="name"):
        amend(chair, change("side", "right"), examiner="")
    command = Amend(examiner="AB", why="typo", changes=(change("side", "right"),))
    with pytest.raises(ExamError, match="voice"):
        chair.voice(command)
    draft = Chair()
    draft.key(AddFinding(fields=PLAQUE))
    with pytest.raises(ExamError, match="Only a final record"):
        draft.key(command)
