"""Decisions on findings: a clinician makes each, with a reason where a rule is met."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from dateutil.relativedelta import relativedelta

from dictate.errors import ExamError
from dictate.exam.commands import (
    AddDetail,
    AddFinding,
    Amend,
    Answer,
    ChangeField,
    Decide,
    DeleteFinding,
    FollowLesion,
    RecordAnswer,
    Sign,
    StartReview,
    Undo,
)
from dictate.exam.decisions import Decision, decision_words
from dictate.exam.finding import FindingFields
from dictate.exam.question import Question
from dictate.exam.visits import visit_of
from dictate.exam.worklist import completed, due
from tests.exam_samples import Chair
from tests.visit_samples import FIRST, LATER, RULES, at, chair, days, left_by

YES, NO = Answer(yes=True), Answer(yes=False)


@pytest.fixture
def made() -> Chair:
    return chair(followup=RULES)


def asked(made: Chair) -> Question | None:
    """The question about a decision, once everything before it is answered with yes."""
    made.key(StartReview())
    while (review := made.session.review) is not None and review.current is not None:
        if review.current.kind == "decision":
            return review.current
        made.key(YES)
    return None


def test_an_abnormal_finding_gets_a_day_and_yes_accepts_it(made: Chair) -> None:
    made.plaque(colours=("brown",))
    question = asked(made)
    assert question is not None
    assert "Look at it again on 18 March 2031?" in question.text
    assert "higher risk" in question.text, "a note is told"
    made.voice(YES)
    assert made.session.decision("f1") == Decision(decision="recheck", due=LATER)
    assert FIRST + relativedelta(weeks=2) == LATER
    made.key(Sign(examiner="A. Berg"))
    assert made.session.is_final


def test_a_variant_of_normal_asks_for_nothing(made: Chair) -> None:
    made.plaque(kind=None, normal_variant="foliate papillae", colours=())
    assert asked(made) is None


def test_a_rule_that_is_met_wants_a_decision_of_its_own(made: Chair) -> None:
    made.plaque(duration_days=22)
    question = asked(made)
    assert question is not None
    assert "lasting more than two weeks" in question.text
    assert "Ann Intern Med 2014" in question.text
    assert question.text.endswith("Decide: refer, biopsy, re-check or no action, and why.")
    assert question.choices
    assert "why. " in question.aloud
    assert "two weeks" in question.aloud
    assert "NIDCR" in question.text
    assert "NIDCR" not in question.aloud
    with pytest.raises(ExamError, match="for you to decide"):
        made.key(YES)
    with pytest.raises(ExamError, match="still open"):
        made.key(Sign(examiner="A. Berg"))
    made.key(Decide(target="last", decision="biopsy", reason="persistent"))
    decision = made.session.decision("f1")
    assert decision is not None
    assert decision.reason == "persistent"
    assert "uspstf-two-weeks" in decision.prompts
    assert asked(made) is None


def test_a_spoken_decision_is_read_back(made: Chair) -> None:
    made.plaque(duration_days=22)
    asked(made)
    made.voice(Decide(target="last", decision="refer"))
    question = asked(made)
    assert question is not None
    assert "Heard: refer or evaluate further with an answer by 18 March 2031" in question.text
    made.voice(NO)
    assert made.session.decision("f1") is None
    made.key(Undo())
    made.voice(YES)
    assert made.session.decision("f1") is not None
    assert asked(made) is None


def test_setting_a_prompt_aside_needs_a_reason(made: Chair) -> None:
    made.plaque(duration_days=22)
    for decision in ("recheck", "no_action"):
        with pytest.raises(ExamError, match="Give the reason"):
            made.key(Decide(target="f1", decision=decision))
    made.key(Decide(target="f1", decision="no_action", reason="old scar, biopsied 2029"))
    assert made.session.decision("f1") == Decision(
        decision="no_action",
        reason="old scar, biopsied 2029",
        prompts=("two-weeks", "nidcr-red-white", "uspstf-two-weeks"),
    )


def test_a_referral_for_a_rule_needs_no_further_reason(made: Chair) -> None:
    made.plaque(duration_days=22, consistency=("indurated",))
    made.key(Decide(target="f1", decision="refer"))
    decision = made.session.decision("f1")
    assert decision is not None
    assert decision.reason == "indurated; present 22 days"


def test_no_action_needs_a_reason_even_without_a_rule(made: Chair) -> None:
    made.plaque(colours=())
    with pytest.raises(ExamError, match="Give the reason"):
        made.key(Decide(target="f1", decision="no_action"))
    with pytest.raises(ExamError, match="has no date"):
        made.key(Decide(target="f1", decision="no_action", reason="scar", due=LATER))


def test_days_that_cannot_be_are_refused(made: Chair) -> None:
    made.plaque()
    for day in (FIRST, FIRST - days(1)):
        with pytest.raises(ExamError, match="not after the visit"):
            made.key(Decide(target="f1", decision="recheck", due=day))
    made.key(Decide(target="f1", decision="recheck", due=FIRST + days(1)))
    with pytest.raises(ExamError, match="longer than 500"):
        made.key(Decide(target="f1", decision="refer", reason="x" * 501))


def test_a_new_prompt_opens_the_decision_again(made: Chair) -> None:
    made.plaque(colours=())
    made.key(Decide(target="f1", decision="recheck"))
    assert asked(made) is None
    made.key(ChangeField(target="f1", field="consistency", value=["indurated"]))
    question = asked(made)
    assert question is not None
    assert "should not wait" in question.text


def test_a_decision_goes_with_its_finding(made: Chair) -> None:
    made.plaque()
    made.key(Decide(target="f1", decision="recheck"))
    made.key(DeleteFinding(target="f1"))
    assert made.session.decision("f1") is None


def test_without_rules_nothing_is_asked() -> None:
    made = chair()
    made.plaque(duration_days=400)
    assert asked(made) is None


def test_term_and_size_that_disagree_are_told(made: Chair) -> None:
    made.plaque(kind="papule", size_mm=(6.0,))
    made.key(StartReview())
    review = made.session.review
    assert review is not None
    assert any("Term and size disagree: papule, 6 mm" in each for each in review.notices)


def test_words_of_a_decision() -> None:
    assert decision_words(Decision(decision="recheck", due=LATER)) == "re-check on 18 March 2031"
    told = Decision(decision="biopsy", due=LATER, reason="indurated")
    assert decision_words(told) == "biopsy advised with an answer by 18 March 2031: indurated"
    assert decision_words(Decision(decision="no_action", reason="scar")) == "no action: scar"


# Answers


def referred() -> Chair:
    made = chair(followup=RULES)
    made.plaque(duration_days=22)
    made.key(Decide(target="f1", decision="refer", reason="persistent"))
    made.signed()
    return made


def test_an_answer_is_recorded_later_as_an_amendment() -> None:
    made = referred()
    (lesion,) = left_by(visit_of(made.session))
    assert [each.decision.decision for each in lesion.awaited] == ["refer"]
    answer = RecordAnswer(
        target="f1", answer="Keratosis, no dysplasia", on=LATER, recheck=LATER + days(90)
    )
    made.key(Amend(examiner="A. Berg", why="answer to the referral", changes=(answer,)))
    assert made.session.version == 2
    (lesion,) = left_by(visit_of(made.session))
    assert lesion.awaited == ()
    assert lesion.plans[0].answer == "Keratosis, no dysplasia"
    assert lesion.plans[0].answered_on == LATER
    assert lesion.plan is not None
    assert lesion.plan.decision.due == LATER + days(90)


def test_an_answer_is_recorded_at_a_visit() -> None:
    first = referred()
    made = chair(LATER, open_=left_by(visit_of(first.session)), followup=RULES)
    made.key(RecordAnswer(target="L1", answer="No dysplasia", on=LATER))
    made.key(FollowLesion(lesion="L1", what="same"))
    made.key(Decide(target="L1", decision="recheck", reason="answered: no dysplasia"))
    made.signed()
    (lesion,) = left_by(visit_of(first.session), visit_of(made.session))
    assert lesion.awaited == ()
    assert [each.decision.decision for each in lesion.plans] == ["refer", "recheck"]


def test_an_answer_that_cannot_be_is_refused() -> None:
    first = referred()
    made = chair(LATER, open_=left_by(visit_of(first.session)), followup=RULES)
    with pytest.raises(ExamError, match="in words"):
        made.key(RecordAnswer(target="L1", answer="  ", on=LATER))
    with pytest.raises(ExamError, match="not after the answer"):
        made.key(RecordAnswer(target="L1", answer="yes", on=LATER, recheck=LATER))
    with pytest.raises(ExamError, match="before the answer was asked for"):
        made.key(RecordAnswer(target="L1", answer="yes", on=FIRST - days(1)))
    with pytest.raises(ExamError, match="after this visit"):
        made.key(RecordAnswer(target="L1", answer="yes", on=LATER + days(1)))
    early = RecordAnswer(target="f1", answer="yes", on=FIRST - days(1))
    with pytest.raises(ExamError, match="before the answer was asked for"):
        first.key(Amend(examiner="A. Berg", why="an answer came back", changes=(early,)))
    with pytest.raises(ExamError, match="no open lesion"):
        made.key(RecordAnswer(target="L9", answer="yes", on=LATER))
    quiet = chair(followup=RULES)
    quiet.plaque(colours=())
    quiet.key(Decide(target="f1", decision="recheck"))
    quiet.signed()
    other = chair(LATER, open_=left_by(visit_of(quiet.session)), followup=RULES)
    with pytest.raises(ExamError, match="No answer is awaited"):
        other.key(RecordAnswer(target="L1", answer="yes", on=LATER))


def test_a_referral_without_an_answer_is_told_at_the_next_visit() -> None:
    first = referred()
    made = chair(LATER, open_=left_by(visit_of(first.session)), followup=RULES)
    made.key(FollowLesion(lesion="L1", what="same"))
    question = asked(made)
    assert question is not None
    assert "Still without an answer: refer or evaluate further" in question.text
    assert "4 March 2031" in question.text


def test_a_decision_is_changed_by_an_amendment() -> None:
    made = referred()
    change = Decide(target="f1", decision="biopsy", reason="referral declined")
    made.key(Amend(examiner="A. Berg", why="patient's wish", changes=(change,)))
    assert made.session.decision("f1") is not None
    (lesion,) = left_by(visit_of(made.session))
    assert [each.decision.decision for each in lesion.plans] == ["biopsy"]


def test_seen_again_after_two_weeks_the_rules_speak() -> None:
    """The rule of thumb of the trade: still there after two weeks, look again or refer."""
    first = chair(followup=RULES)
    first.plaque(colours=(), duration_days=None)
    first.key(Decide(target="f1", decision="recheck"))
    first.signed()
    made = chair(LATER, open_=left_by(visit_of(first.session)), followup=RULES)
    made.key(FollowLesion(lesion="L1", what="same"))
    rules = {each.rule for each in made.session.assessment("f1").asking}
    assert rules == {"two-weeks", "ada-2010-persistent"}
    assert made.session.assessment("f1").present_days == 14


def test_a_lesion_that_was_not_described_may_be_decided_on() -> None:
    first = referred()
    lesions = left_by(visit_of(first.session))
    made = chair(LATER, open_=lesions, followup=RULES)
    made.key(Decide(target="L1", decision="recheck", due=date(2031, 6, 1)))
    assert made.session.decision(lesions[0].id) == Decision(
        decision="recheck", due=date(2031, 6, 1)
    )
    made.signed()
    (lesion,) = left_by(visit_of(first.session), visit_of(made.session))
    assert lesion.plan is not None
    assert lesion.plan.decision.due == date(2031, 6, 1)
    assert lesion.plan.on == FIRST + timedelta(days=14)


def test_what_should_not_wait_is_told_when_it_is_said(made: Chair) -> None:
    quiet = made.plaque(colours=())
    assert "not wait" not in quiet.message
    outcome = made.plaque(side="right", colours=(), consistency=("indurated",))
    assert "A feature that should not wait" in outcome.message
    assert "(indurated)" in outcome.message
    detail = made.hear("numb", AddDetail(target="f1", fields=FindingFields(symptoms=("numbness",))))
    assert "(numbness)" in detail.message
    assert [(name, each.rule) for name, each in made.session.alarms] == [
        ("f1", "should-not-wait"),
        ("f2", "should-not-wait"),
    ]
    made.key(Decide(target="f2", decision="refer"))
    assert [name for name, _ in made.session.alarms] == ["f1"]
    assert chair().session.alarms == ()


def test_an_amendment_that_meets_a_rule_brings_its_decision(made: Chair) -> None:
    made.plaque(colours=())
    made.key(Decide(target="f1", decision="recheck"))
    made.signed()
    change = ChangeField(target="f1", field="consistency", value=["indurated"])
    with pytest.raises(ExamError, match=r"meets a rule \(should-not-wait\); decide"):
        made.key(Amend(examiner="A. Berg", why="felt again", changes=(change,)))
    decide = Decide(target="f1", decision="refer")
    made.key(Amend(examiner="A. Berg", why="felt again", changes=(change, decide)))
    decision = made.session.decision("f1")
    assert decision is not None
    assert (decision.decision, decision.reason) == ("refer", "indurated")
    added = AddFinding(fields=made.session.findings[0].fields)
    with pytest.raises(ExamError, match="f2 meets a rule"):
        made.key(Amend(examiner="A. Berg", why="a second", changes=(added,)))
    both = (added, Decide(target="f2", decision="biopsy"))
    made.key(Amend(examiner="A. Berg", why="a second", changes=both))
    assert made.session.decision("f2") is not None


def test_who_decided_later_is_told_as_the_one_who_did() -> None:
    made = referred()
    made.now = at(LATER)
    change = Decide(target="f1", decision="biopsy", reason="referral declined")
    made.key(Amend(examiner="C. Dahl", why="patient's wish", changes=(change,)))
    answer = RecordAnswer(target="f1", answer="No dysplasia", on=LATER, recheck=LATER + days(90))
    made.key(Amend(examiner="E. Falk", why="an answer came back", changes=(answer,)))
    (lesion,) = left_by(visit_of(made.session))
    assert [(each.by, each.on) for each in lesion.plans] == [("C. Dahl", LATER), ("E. Falk", LATER)]
    assert lesion.awaited == ()


def test_a_decision_on_the_last_finding_names_it(made: Chair) -> None:
    made.plaque()
    outcome = made.key(Decide(target="last", decision="refer", reason="persistent"))
    assert outcome.message.startswith("f1: refer or evaluate further")


def test_an_answer_told_at_a_visit_leaves_the_new_referral_open() -> None:
    first = referred()
    made = chair(LATER, open_=left_by(visit_of(first.session)), followup=RULES)
    made.key(RecordAnswer(target="L1", answer="No dysplasia", on=LATER))
    made.key(FollowLesion(lesion="L1", what="same"))
    made.key(Decide(target="L1", decision="refer", reason="still there"))
    made.signed()
    (lesion,) = left_by(visit_of(first.session), visit_of(made.session))
    assert [each.session for each in lesion.awaited] == [made.session.id]


def test_an_answer_and_a_new_referral_in_one_amendment_leave_that_open() -> None:
    made = referred()
    answer = RecordAnswer(target="f1", answer="No dysplasia", on=LATER)
    again = Decide(target="f1", decision="biopsy", reason="second opinion")
    made.key(Amend(examiner="A. Berg", why="an answer came back", changes=(answer, again)))
    (lesion,) = left_by(visit_of(made.session))
    assert [each.decision.decision for each in lesion.awaited] == ["biopsy"]


def test_a_decision_changed_later_counts_from_its_visit_and_hides_no_newer_one() -> None:
    """The second visit looked again and set a day; then the first one's reason is corrected."""
    first = chair(followup=RULES)
    first.plaque(colours=())
    first.key(Decide(target="f1", decision="recheck", reason="trauma"))
    first.signed()
    second = chair(LATER, open_=left_by(visit_of(first.session)), followup=RULES)
    second.key(FollowLesion(lesion="L1", what="same"))
    second.key(Decide(target="L1", decision="recheck", reason="half healed"))
    second.signed()
    first.now = at(LATER + days(7))
    change = Decide(target="f1", decision="recheck", reason="trauma of a denture")
    first.key(Amend(examiner="C. Dahl", why="more exact", changes=(change,)))
    (lesion,) = left_by(visit_of(first.session), visit_of(second.session))
    assert lesion.plan is not None
    assert lesion.plan.decision.reason == "half healed"
    (row,) = due((lesion,), LATER)
    assert (row.due, row.reason) == (LATER + days(14), "half healed")
    (done,) = completed((lesion,))
    assert (done.due, done.done, done.in_time) == (LATER, LATER, True)
