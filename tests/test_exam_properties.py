"""Whatever is said and typed, the record is what its events say, and undo returns to the start."""

from __future__ import annotations

import json

from hypothesis import given, settings
from hypothesis import strategies as st

from dictate.errors import ExamError
from dictate.exam.commands import (
    Acknowledge,
    AddDetail,
    AddFinding,
    Answer,
    ChangeField,
    Command,
    DeleteFinding,
    GoTo,
    MarkRegion,
    NextRegion,
    Pause,
    PreviousRegion,
    Promote,
    Redo,
    Resume,
    Save,
    SettleField,
    Sign,
    Skip,
    StartReview,
    Undo,
)
from dictate.exam.contract import session_document
from dictate.exam.events import Event
from dictate.exam.finding import Doubt, FindingFields
from dictate.exam.session import Session
from tests.exam_samples import PROTOCOL, Chair

REGIONS = st.sampled_from([*PROTOCOL.order, "elbow"])
SIDES = st.sampled_from([None, "left", "right", "midline", "bilateral"])
TARGETS = st.sampled_from(["last", "f1", "f2", "f3"])
FIELDS = st.builds(
    FindingFields,
    region=st.none() | REGIONS,
    subsite=st.sampled_from([None, "dorsum", "lateral border"]),
    side=SIDES,
    kind=st.sampled_from([None, "ulcer", "plaque"]),
    size_mm=st.lists(st.floats(0.5, 500).map(lambda x: round(x, 1)), max_size=3).map(tuple),
    colours=st.lists(st.sampled_from(["red", "white"]), max_size=2).map(tuple),
    tender=st.none() | st.booleans(),
    symptoms=st.sampled_from([(), ("pain",)]),
    denied_symptoms=st.sampled_from([(), ("numbness",)]),
    normal_variant=st.sampled_from([None, None, "linea alba"]),
)
NAMES = st.sampled_from(["side", "region", "size_mm", "tender", "colours", "note"])
VALUES = st.sampled_from([None, "left", "tongue", [4.0], True, ["red"], "words"])
DOUBTS = st.lists(st.builds(Doubt, field=NAMES, why=st.just("unclear")), max_size=2).map(tuple)
CHANGES: list[st.SearchStrategy[Command]] = [
    st.builds(AddFinding, fields=FIELDS, needs_review=DOUBTS),
    st.builds(
        ChangeField, target=TARGETS, field=NAMES, value=VALUES, doubt=st.none() | st.just("?")
    ),
    st.builds(AddDetail, target=TARGETS, fields=FIELDS, needs_review=DOUBTS),
    st.builds(SettleField, target=TARGETS, field=NAMES),
    st.builds(DeleteFinding, target=TARGETS),
    st.builds(
        MarkRegion,
        region=REGIONS,
        state=st.sampled_from(["inspected", "palpated", "normal", "not_examined"]),
        side=SIDES,
        doubt=st.none() | st.just("unclear"),
    ),
    st.builds(Promote, utterance=st.sampled_from(["u1", "u2"]), fields=FIELDS),
    st.builds(GoTo, region=REGIONS),
    st.builds(Acknowledge, regions=st.lists(REGIONS, max_size=2).map(tuple)),
    st.sampled_from([NextRegion(), PreviousRegion(), StartReview(), Save(), Skip()]),
    st.builds(Answer, yes=st.booleans()),
    st.sampled_from([Undo(), Undo(), Redo(), Pause(), Resume()]),
]
COMMANDS = st.one_of(*CHANGES)
ACTS = st.lists(st.tuples(st.sampled_from(["voice", "keyboard", "hear"]), COMMANDS), max_size=25)


def play(chair: Chair, acts: list[tuple[str, Command]]) -> None:
    lines = []
    for how, command in acts:
        try:
            if how == "hear":
                chair.hear("words", command, Resume(), kind="finding")
            else:
                chair.session.do(command, actor=how, at=chair.tick())
        except ExamError as error:
            lines.append(str(error))
    assert not any("\n" in each for each in lines)


@given(ACTS)
@settings(max_examples=150, deadline=None)
def test_the_state_is_the_fold_of_the_events(acts: list[tuple[str, Command]]) -> None:
    chair = Chair()
    play(chair, acts)
    kept = [each.model_dump_json() for each in chair.session.events]
    again = Session.from_events(Event.model_validate_json(line) for line in kept)
    assert again.state == chair.session.state
    assert again.utterances == chair.session.utterances
    assert again.events == chair.session.events
    assert (again.can_undo, again.can_redo) == (chair.session.can_undo, chair.session.can_redo)
    document = session_document(again)
    assert json.loads(json.dumps(document)) == document


@given(ACTS)
@settings(max_examples=100, deadline=None)
def test_undoing_all_returns_to_the_start_and_redo_returns(acts: list[tuple[str, Command]]) -> None:
    chair = Chair()
    start = chair.session.state
    play(chair, acts)
    chair.key(Resume())
    end, heard = chair.session.state, chair.session.utterances
    while chair.session.can_undo:
        chair.key(Undo())
    assert chair.session.state == start
    assert chair.session.utterances == heard
    while chair.session.can_redo:
        chair.key(Redo())
    if not any(isinstance(command, Undo) for _, command in acts):
        assert chair.session.state == end


@given(ACTS, st.lists(st.booleans(), max_size=40))
@settings(max_examples=150, deadline=None)
def test_nothing_is_signed_with_an_open_doubt(
    acts: list[tuple[str, Command]], answers: list[bool]
) -> None:
    chair = Chair()
    play(chair, acts)
    chair.key(StartReview())
    play(chair, [("voice", Answer(yes=yes)) for yes in answers])
    review = chair.session.review
    assert review is not None
    session = chair.session
    open_ones = (
        any(
            each.needs_review or each.id not in session.state.confirmed for each in session.findings
        )
        or any(mark.doubt for mark in session.state.marks.values())
        or any(not each.examined and not each.acknowledged for each in session.coverage)
        or any(each.region is None for each in session.findings)
    )
    if open_ones:
        assert not review.complete
    try:
        chair.key(Sign(examiner="AB"))
    except ExamError:
        assert not session.is_final
        assert review.open
    else:
        assert not open_ones


@given(ACTS)
@settings(max_examples=60, deadline=None)
def test_a_patient_clinician_always_gets_to_the_end(acts: list[tuple[str, Command]]) -> None:
    chair = Chair()
    play(chair, acts)
    chair.key(StartReview())
    for _ in range(200):
        question = chair.session.review.current if chair.session.review else None
        if question is None:
            break
        if question.field == "region" and question.finding:
            chair.key(ChangeField(target=question.finding, field="region", value="tongue"))
        else:
            chair.voice(Answer(yes=True))
    chair.key(Sign(examiner="AB"))
    assert chair.session.is_final
