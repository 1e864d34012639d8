from __future__ import annotations

import pytest

from dictate.errors import ExamError
from dictate.exam.commands import (
    AddDetail,
    AddFinding,
    ChangeField,
    DeleteFinding,
    GoTo,
    MarkRegion,
    NextRegion,
    Pause,
    PreviousRegion,
    Promote,
    Redo,
    Resume,
    SettleField,
    StartReview,
    Undo,
)
from dictate.exam.events import Event, UtteranceHeard
from dictate.exam.finding import Alternative, Doubt, FindingFields
from dictate.exam.session import Session
from tests.exam_samples import PLAQUE, PROTOCOL, START, Chair


@pytest.fixture
def chair() -> Chair:
    return Chair()


def doubts(chair: Chair, target: str = "f1") -> dict[str, str]:
    finding = chair.session.finding(target)
    assert finding is not None
    return {each.field: each.why for each in finding.needs_review}


def test_a_new_session_knows_itself(chair: Chair) -> None:
    session = Session.start("s9", PROTOCOL, START, engine="packaged", patient="P-17")
    assert (session.id, session.patient, session.created) == ("s9", "P-17", START)
    assert session.protocol.order == ("face", "buccal mucosa", "tongue", "hard palate")
    assert not session.is_final
    assert session.current_region is None
    assert session.review is None


def test_a_finding_enters_its_region_and_keeps_its_utterance(chair: Chair) -> None:
    outcome = chair.plaque()
    (finding,) = chair.session.findings
    assert (finding.id, finding.utterances, finding.said) == ("f1", ("u1",), "a plaque")
    assert finding.needs_review == ()
    assert chair.session.current_region == "tongue"
    assert [each.body.type for each in outcome.events] == ["utterance_heard", "finding_added"]
    assert len({each.step for each in outcome.events}) == 1


@pytest.mark.parametrize(
    ("changes", "doubted"),
    [
        ({"side": None}, {"side"}),
        ({"side": None, "subsite": "dorsum"}, set()),
        ({"side": None, "region": "hard palate", "subsite": None}, set()),
        ({"region": None, "subsite": None}, {"region"}),
        ({"region": "elbow", "subsite": None}, {"region"}),
        ({"subsite": "uvula"}, {"subsite"}),
        ({"subsite": "uvula", "side": None}, {"subsite", "side"}),
    ],
)
def test_a_finding_that_cannot_be_placed_is_doubted_whoever_made_it(
    chair: Chair, changes: dict[str, object], doubted: set[str]
) -> None:
    chair.plaque(**changes)
    assert doubts(chair).keys() == doubted


def test_the_matchers_reason_for_a_doubt_is_kept(chair: Chair) -> None:
    fields = FindingFields(region="tongue", kind="ulcer")
    said = Doubt(field="side", why="left or lift")
    chair.hear("ulcer", AddFinding(fields=fields, needs_review=(said,)))
    assert doubts(chair) == {"side": "left or lift"}


def test_a_key_settles_what_it_changes(chair: Chair) -> None:
    alternative = Alternative(field="size_mm", value=[50.0], score=80)
    chair.hear(
        "fifteen",
        AddFinding(
            fields=PLAQUE,
            needs_review=(Doubt(field="size_mm", why="fifteen or fifty"),),
            alternatives=(alternative,),
        ),
    )
    outcome = chair.key(ChangeField(target="f1", field="size_mm", value=[50.0], doubt="ignored"))
    finding = chair.session.findings[0]
    assert finding.size_mm == (50.0,)
    assert finding.needs_review == ()
    assert finding.alternatives == ()
    body = outcome.events[0].body
    assert body.type == "field_changed"
    assert (body.old, body.new) == ([10.0, 6.0], [50.0])


def test_a_voice_keeps_the_doubt_that_its_command_carries(chair: Chair) -> None:
    chair.plaque()
    command = ChangeField(target="last", field="side", value="right", doubt="heard weakly")
    chair.hear("correct side right", command, kind="command")
    assert doubts(chair) == {"side": "heard weakly"}
    assert chair.session.findings[0].utterances == ("u1", "u2")


def test_typed_words_keep_their_doubt_too(chair: Chair) -> None:
    chair.plaque()
    command = ChangeField(target="last", field="side", value="right", doubt="unclear")
    heard = UtteranceHeard(id="", text="side right", kind="command")
    chair.session.hear(heard, [command], at=chair.tick(), actor="keyboard")
    assert doubts(chair) == {"side": "unclear"}


def test_moving_a_finding_asks_again_for_what_no_longer_fits(chair: Chair) -> None:
    chair.plaque(region="hard palate", subsite=None, side=None)
    chair.key(ChangeField(target="f1", field="region", value="buccal mucosa"))
    assert doubts(chair) == {"side": "no side was said"}
    chair.key(SettleField(target="f1", field="side"))
    chair.key(ChangeField(target="f1", field="colours", value=["red"]))
    assert doubts(chair) == {}


def test_a_finding_is_never_without_a_region(chair: Chair) -> None:
    chair.plaque(region=None, subsite=None)
    with pytest.raises(ExamError, match="without a region"):
        chair.key(SettleField(target="f1", field="region"))
    chair.key(ChangeField(target="f1", field="region", value="tongue"))
    chair.key(ChangeField(target="f1", field="region", value=None))
    assert doubts(chair).keys() == {"region"}


@pytest.mark.parametrize(
    ("field", "value", "cause"),
    [
        ("side", "lift", "side"),
        ("size_mm", [1.0, 2.0, 3.0, 4.0], "three dimensions"),
        ("size_mm", [0.0], "above 0"),
        ("count", -1, "count"),
        ("duration_days", "long", "duration"),
        ("shape", "round", "no field shape"),
        ("id", "f7", "no field id"),
    ],
)
def test_a_bad_value_is_refused_and_changes_nothing(
    chair: Chair, field: str, value: object, cause: str
) -> None:
    chair.plaque()
    before = chair.session.state, chair.session.events
    command = ChangeField.model_construct(
        target="f1", field=field, value=value, doubt=None, said="", alternatives=()
    )
    with pytest.raises(ExamError, match=cause) as caught:
        chair.key(command)
    assert "\n" not in str(caught.value)
    assert (chair.session.state, chair.session.events) == before


def test_details_grow_lists_and_fill_gaps(chair: Chair) -> None:
    chair.plaque()
    detail = FindingFields(colours=("red", "white"), tender=False, denied_symptoms=("pain",))
    chair.hear("and red, not tender, no pain", AddDetail(target="last", fields=detail))
    finding = chair.session.findings[0]
    assert finding.colours == ("white", "red")
    assert finding.tender is False
    assert finding.needs_review == ()
    chair.hear("some pain", AddDetail(target="last", fields=FindingFields(symptoms=("pain",))))
    finding = chair.session.findings[0]
    assert (finding.symptoms, finding.denied_symptoms) == (("pain",), ())


@pytest.mark.parametrize("detail", [{"side": "right"}, {"size_mm": (4.0,)}, {"tender": True}])
def test_a_detail_that_contradicts_is_asked_about(chair: Chair, detail: dict[str, object]) -> None:
    chair.plaque(tender=False)
    fields = FindingFields.model_validate(detail)
    chair.hear("other words", AddDetail(target="f1", fields=fields))
    (name,) = detail
    assert "said before as" in doubts(chair)[name]


def test_a_detail_without_a_finding_is_put_aside_not_dropped(chair: Chair) -> None:
    outcome = chair.hear(
        "it is tender", AddDetail(target="last", fields=FindingFields(tender=True))
    )
    assert outcome.failed == ("There is no finding yet; dictate one first.",)
    (heard,) = chair.session.set_aside
    assert (heard.text, heard.kind) == ("it is tender", "ignored")
    assert "no finding yet" in heard.why
    assert outcome.events[0].body == heard


def test_a_failing_command_keeps_the_others_of_its_utterance(chair: Chair) -> None:
    outcome = chair.hear(
        "go to the elbow; white plaque", GoTo(region="elbow"), AddFinding(fields=PLAQUE)
    )
    assert len(chair.session.findings) == 1
    assert len(outcome.failed) == 1
    assert Session.from_events(chair.session.events).utterances == chair.session.utterances


def test_a_correction_that_fails_is_shown_in_the_review(chair: Chair) -> None:
    chair.plaque()
    change = ChangeField.model_construct(
        target="last", field="side", value="lift", doubt=None, said="", alternatives=()
    )
    chair.hear("correct side lift", change, kind="command")
    assert [each.text for each in chair.session.set_aside] == ["correct side lift"]


def test_undo_takes_back_all_of_an_utterance_but_not_what_was_heard(chair: Chair) -> None:
    start = chair.session.state
    second = AddFinding(fields=PLAQUE.model_copy(update={"side": "right"}))
    chair.hear("two plaques", AddFinding(fields=PLAQUE), second)
    both = chair.session.state
    chair.hear("scratch that", Undo(), kind="command")
    assert chair.session.state == start
    assert [each.text for each in chair.session.utterances] == ["two plaques", "scratch that"]
    chair.key(Redo())
    assert chair.session.state == both
    assert not chair.session.can_redo


def test_a_new_step_ends_what_can_be_redone_and_ids_are_not_used_twice(chair: Chair) -> None:
    chair.plaque()
    chair.key(Undo())
    chair.plaque(side="right")
    assert [each.id for each in chair.session.findings] == ["f2"]
    with pytest.raises(ExamError, match="nothing to redo"):
        chair.key(Redo())
    chair.key(Undo())
    with pytest.raises(ExamError, match="nothing to undo"):
        chair.key(Undo())


def test_undo_within_an_utterance_spares_what_follows_it(chair: Chair) -> None:
    chair.hear(
        "plaque, undo, ulcer",
        AddFinding(fields=PLAQUE),
        Undo(),
        AddFinding(fields=PLAQUE.model_copy(update={"kind": "ulcer"})),
    )
    chair.plaque()
    chair.key(Undo())
    assert [each.kind for each in chair.session.findings] == ["ulcer"]
    assert Session.from_events(chair.session.events).state == chair.session.state


def test_deleting(chair: Chair) -> None:
    chair.plaque()
    chair.plaque(side="right")
    chair.key(DeleteFinding(target="last"))
    assert [each.id for each in chair.session.findings] == ["f1"]
    with pytest.raises(ExamError, match="no finding f2; there are f1"):
        chair.key(DeleteFinding(target="f2"))


def test_walking_through_the_regions(chair: Chair) -> None:
    with pytest.raises(ExamError, match="no region before"):
        chair.key(PreviousRegion())
    chair.key(NextRegion())
    assert chair.session.current_region == "face"
    chair.key(GoTo(region="hard palate"))
    with pytest.raises(ExamError, match="last region"):
        chair.key(NextRegion())
    chair.key(PreviousRegion())
    assert chair.session.current_region == "tongue"
    with pytest.raises(ExamError, match="No region is called elbow"):
        chair.key(GoTo(region="elbow"))


def test_nothing_is_recorded_while_paused_but_the_keyboard_works(chair: Chair) -> None:
    chair.hear("stop listening", Pause(), kind="command")
    outcome = chair.hear("and the children?", kind="ignored")
    assert outcome.events == ()
    assert "paused" in outcome.message
    chair.key(AddFinding(fields=PLAQUE))
    assert len(chair.session.findings) == 1
    chair.hear("resume", Resume(), kind="command")
    assert not chair.session.paused
    assert [each.text for each in chair.session.utterances] == ["stop listening", "resume"]


def test_promoting_an_utterance(chair: Chair) -> None:
    chair.hear("something white there", kind="ignored", why="no kind")
    assert len(chair.session.set_aside) == 1
    chair.key(Promote(utterance="u1", fields=PLAQUE))
    (finding,) = chair.session.findings
    assert (finding.utterances, finding.said) == (("u1",), "something white there")
    assert chair.session.set_aside == ()
    with pytest.raises(ExamError, match="already"):
        chair.key(Promote(utterance="u1", fields=PLAQUE))
    chair.key(Undo())
    assert len(chair.session.set_aside) == 1
    with pytest.raises(ExamError, match="No utterance is called u8"):
        chair.key(Promote(utterance="u8", fields=PLAQUE))


def test_position_carries_on_only_within_the_region(chair: Chair) -> None:
    chair.plaque()
    at = chair.session.position
    assert (at.region, at.subsite, at.side, at.last) == (
        "tongue",
        "lateral border",
        "left",
        PLAQUE,
    )
    chair.key(GoTo(region="face"))
    at = chair.session.position
    assert (at.region, at.subsite, at.side, at.last) == ("face", None, None, PLAQUE)
    chair.key(StartReview())
    assert chair.session.position.reviewing


def test_events_that_make_no_session_are_refused_in_one_line(chair: Chair) -> None:
    chair.plaque()
    events = list(chair.session.events)
    for broken in ([], events[1:], [events[0], events[2]], [events[0], events[0]]):
        with pytest.raises(ExamError) as caught:
            Session.from_events(broken)
        assert "\n" not in str(caught.value)


def test_events_of_a_change_to_a_missing_finding_are_refused(chair: Chair) -> None:
    chair.plaque()
    chair.key(ChangeField(target="f1", field="side", value="right"))
    first, *_, last = chair.session.events
    with pytest.raises(ExamError, match="f1, which is not there"):
        Session.from_events([first, last.model_copy(update={"seq": 2})])


def test_times_are_kept_in_utc() -> None:
    event = Event.model_validate(
        {
            "seq": 1,
            "at": "2031-03-04T10:30:00+01:00",
            "actor": "system",
            "step": 0,
            "body": {"type": "review_started"},
        }
    )
    assert event.at == START
    assert event.at.isoformat().endswith("+00:00")


def test_marking_a_region_that_has_findings_is_doubted(chair: Chair) -> None:
    chair.plaque()
    chair.key(MarkRegion(region="tongue", state="normal", side="right"))
    chair.key(MarkRegion(region="tongue", state="normal"))
    marks = chair.session.state.marks
    assert marks["tongue", "normal", "right"].doubt is None
    assert marks["tongue", "normal", None].doubt == "f1 is recorded there"
