"""Whatever is said and typed at a second visit, nothing is signed that nobody decided."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from dictate.errors import ExamError
from dictate.exam.commands import (
    AddFinding,
    Answer,
    ChangeField,
    Command,
    Decide,
    DeleteFinding,
    DropRisk,
    FollowLesion,
    LeaveLesion,
    LinkFinding,
    NoteRisk,
    RecordAnswer,
    Redo,
    ResolveLesion,
    Sign,
    Skip,
    StartReview,
    TellApart,
    Undo,
)
from dictate.exam.events import Event
from dictate.exam.finding import FindingFields
from dictate.exam.followup import needs_follow_up
from dictate.exam.session import Session
from dictate.exam.visits import Visit, visit_of
from tests.exam_samples import PLAQUE, Chair
from tests.visit_samples import LATER, RULES, chair, first_visit, left_by, open_lesion

OPEN = (open_lesion(1), open_lesion(2, region="buccal mucosa", subsite=None, side="right"))
LESIONS = st.sampled_from(["L1", "L2", "L3", "s0/f1"])
FINDINGS = st.sampled_from(["last", "f1", "f2"])
FIELDS = st.sampled_from(
    [
        PLAQUE,
        FindingFields(size_mm=(4.0,), change="shrinking"),
        FindingFields(region="buccal mucosa", side="right", kind="ulcer", duration_days=30),
        FindingFields(region="tongue", normal_variant="foliate papillae"),
    ]
)
DECISIONS = st.sampled_from(["recheck", "refer", "biopsy", "no_action"])
COMMANDS: st.SearchStrategy[Command] = st.one_of(
    st.builds(FollowLesion, lesion=LESIONS, what=st.sampled_from(["same", "changed"])),
    st.builds(FollowLesion, lesion=LESIONS, fields=FIELDS, doubt=st.none() | st.just("?")),
    st.builds(LinkFinding, finding=FINDINGS, lesion=LESIONS),
    st.builds(TellApart, finding=FINDINGS, lesion=LESIONS),
    st.builds(ResolveLesion, lesion=LESIONS),
    st.builds(LeaveLesion, lesion=LESIONS),
    st.builds(
        Decide,
        target=FINDINGS | LESIONS,
        decision=DECISIONS,
        reason=st.sampled_from(["", "why"]),
    ),
    st.builds(RecordAnswer, target=LESIONS, answer=st.just("fine"), on=st.just(LATER)),
    st.builds(
        NoteRisk,
        factor=st.sampled_from(["tobacco", "alcohol"]),
        answer=st.sampled_from(["yes", "no"]),
    ),
    st.builds(DropRisk, factor=st.just("tobacco")),
    st.builds(AddFinding, fields=FIELDS),
    st.builds(
        ChangeField,
        target=FINDINGS,
        field=st.just("side"),
        value=st.sampled_from(["left", "right"]),
    ),
    st.builds(DeleteFinding, target=FINDINGS),
    st.builds(Answer, yes=st.booleans()),
    st.sampled_from([StartReview(), Skip(), Undo(), Undo(), Redo()]),
)
ACTS = st.lists(st.tuples(st.sampled_from(["voice", "keyboard"]), COMMANDS), max_size=25)


def play(acts: list[tuple[str, Command]]) -> Chair:
    made = chair(LATER, open_=OPEN, followup=RULES)
    refusals = []
    for how, command in acts:
        try:
            made.session.do(command, actor=how, at=made.tick())
        except ExamError as error:
            refusals.append(str(error))
    assert not any("\n" in each for each in refusals)
    return made


@given(ACTS)
@settings(max_examples=120, deadline=None)
def test_the_events_are_the_record_and_undo_returns_to_the_start(
    acts: list[tuple[str, Command]],
) -> None:
    start = chair(LATER, open_=OPEN, followup=RULES).session.state
    made = play(acts)
    kept = [each.model_dump_json() for each in made.session.events]
    again = Session.from_events(Event.model_validate_json(line) for line in kept)
    assert again.state == made.session.state
    while made.session.can_undo:
        made.key(Undo())
    assert made.session.state == start


@given(ACTS, st.lists(st.booleans(), max_size=30))
@settings(max_examples=120, deadline=None)
def test_nothing_is_signed_that_nobody_decided(
    acts: list[tuple[str, Command]], answers: list[bool]
) -> None:
    made = play([*acts, ("keyboard", StartReview()), *(("voice", Answer(yes=y)) for y in answers)])
    try:
        made.key(Sign(examiner="A. Berg"))
    except ExamError:
        return
    session = made.session
    assert all(each.status != "not mentioned" for each in session.lesions)
    assert not any(each.doubt for each in session.risks)
    for finding in session.findings:
        if needs_follow_up(finding):
            decision = session.decision(finding.id)
            assert decision is not None
            asking = session.assessment(finding.id).asking
            assert {each.rule for each in asking} <= set(decision.prompts)
            assert decision.reason or not asking


@given(ACTS)
@settings(max_examples=80, deadline=None)
def test_a_second_visit_never_loses_a_lesion(acts: list[tuple[str, Command]]) -> None:
    """Every lesion of the first visit is there after the second, under its old number."""
    first = first_visit(PLAQUE, FindingFields(region="buccal mucosa", side="right", kind="ulcer"))
    before = left_by(first)
    made = chair(LATER, open_=before, followup=RULES)
    for how, command in acts:
        try:
            made.session.do(command, actor=how, at=made.tick())
        except ExamError:
            continue
    signed(made)
    second = visit_of(made.session)
    assert Visit.model_validate_json(second.model_dump_json()) == second
    after = {each.id: each for each in left_by(first, second)}
    for lesion in before:
        assert after[lesion.id].number == lesion.number
        told = [each.what for each in after[lesion.id].sightings]
        assert len(told) == 2, "each lesion is spoken of at the second visit, whatever was said"


def signed(made: Chair) -> None:
    """Answer everything, decide where a rule asks, and sign."""
    made.key(StartReview())
    while (review := made.session.review) is not None and review.current is not None:
        question = review.current
        if question.kind == "decision":
            made.key(Decide(target="last", decision="refer", reason="why"))
        elif question.kind == "field" and question.field == "region":
            made.key(DeleteFinding(target=question.finding or ""))
        else:
            made.key(Answer(yes=True))
    made.key(Sign(examiner="A. Berg"))
