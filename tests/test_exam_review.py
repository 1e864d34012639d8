from __future__ import annotations

import pytest

from dictate.errors import ExamError
from dictate.exam.commands import (
    Acknowledge,
    AddFinding,
    Answer,
    ChangeField,
    DeleteFinding,
    GoTo,
    MarkRegion,
    Promote,
    Repeat,
    Save,
    Sign,
    Skip,
    StartReview,
    Undo,
)
from dictate.exam.finding import Doubt, FindingFields
from dictate.exam.review import Question, Review
from tests.exam_samples import PLAQUE, Chair

YES, NO = Answer(yes=True), Answer(yes=False)


@pytest.fixture
def chair() -> Chair:
    return Chair()


def pass_of(chair: Chair) -> Review:
    review = chair.session.review
    assert review is not None
    return review


def asked(chair: Chair) -> Question:
    question = pass_of(chair).current
    assert question is not None
    return question


def keys(chair: Chair) -> list[str]:
    return [each.key for each in pass_of(chair).open]


def test_the_order_of_the_questions(chair: Chair) -> None:
    chair.plaque(side=None)
    chair.hear("mumble", kind="ignored")
    chair.key(MarkRegion(region="face", state="normal", doubt="heard weakly"))
    chair.key(MarkRegion(region="tongue", state="normal"))
    chair.key(StartReview())
    assert keys(chair) == [
        "field:f1:side",
        "finding:f1",
        "mark:face:normal:None",
        "mark:tongue:normal:None",
        "contradiction:tongue",
        "region:buccal mucosa",
        "region:hard palate",
        "aside",
    ]


def test_a_doubted_field_is_settled_by_yes_and_left_open_by_no(chair: Chair) -> None:
    doubt = Doubt(field="size_mm", why="fifteen or fifty")
    chair.key(AddFinding(fields=PLAQUE, needs_review=(doubt,)))
    chair.key(StartReview())
    assert "fifteen or fifty" in asked(chair).text
    assert "size 10 by 6 mm" in asked(chair).text
    outcome = chair.voice(NO)
    assert outcome.message == "Say or type the right value."
    assert asked(chair).key == "field:f1:size_mm"
    chair.voice(YES)
    assert chair.session.findings[0].needs_review == ()
    assert asked(chair).key == "finding:f1"


def test_a_change_after_confirmation_opens_the_finding_again(chair: Chair) -> None:
    chair.plaque()
    chair.key(StartReview())
    chair.voice(YES)
    assert "finding:f1" not in keys(chair)
    chair.key(ChangeField(target="f1", field="colours", value=["red"]))
    assert asked(chair).key == "finding:f1"


def test_an_undone_answer_is_asked_again(chair: Chair) -> None:
    chair.plaque()
    chair.key(StartReview())
    chair.voice(YES)
    chair.voice(Undo())
    assert asked(chair).key == "finding:f1"
    chair.voice(Undo())
    assert chair.session.review is None


def test_skipped_questions_come_round_again(chair: Chair) -> None:
    chair.key(StartReview())
    order = []
    for _ in range(6):
        order.append(asked(chair).region)
        chair.voice(Skip())
    assert order == ["face", "buccal mucosa", "tongue", "hard palate", "face", "buccal mucosa"]


def test_repeat_reads_the_question_and_changes_nothing(chair: Chair) -> None:
    chair.key(StartReview())
    outcome = chair.voice(Repeat())
    assert outcome.events == ()
    assert outcome.message == "Nothing was said of the face. Leave it as not examined?"


def test_a_doubted_statement_is_withdrawn_by_no(chair: Chair) -> None:
    chair.key(MarkRegion(region="face", state="normal", doubt="heard weakly"))
    chair.key(StartReview())
    assert "heard weakly" in asked(chair).text
    chair.voice(NO)
    assert chair.session.coverage[0].status == "not examined"
    chair.voice(Undo())
    chair.voice(YES)
    assert chair.session.coverage[0].status == "normal"


def test_normal_and_a_finding_in_one_region_is_asked_about(chair: Chair) -> None:
    chair.key(MarkRegion(region="tongue", state="normal"))
    chair.plaque()
    chair.key(StartReview())
    chair.voice(YES)
    text = asked(chair).text
    assert text.startswith("Tongue: called normal, and f1 is recorded there. Left lateral border")
    chair.voice(YES)
    assert "contradiction:tongue" not in keys(chair)
    chair.plaque(side="right")
    assert "contradiction:tongue" in keys(chair)


def test_regions_are_acknowledged_one_by_one_or_together_with_a_reason(chair: Chair) -> None:
    chair.key(StartReview())
    chair.voice(YES)
    chair.key(Acknowledge(regions=("tongue", "hard palate"), reason="patient in pain"))
    assert keys(chair) == ["region:buccal mucosa"]
    tongue = chair.session.coverage[2]
    assert (tongue.acknowledged, tongue.reason) == (True, "patient in pain")
    with pytest.raises(ExamError, match="No region is called elbow"):
        chair.key(Acknowledge(regions=("elbow",)))


def test_a_region_said_to_be_left_out_needs_no_second_word(chair: Chair) -> None:
    chair.key(MarkRegion(region="face", state="not_examined", reason="bandage"))
    chair.key(StartReview())
    assert "region:face" not in keys(chair)


def test_what_was_set_aside_is_counted_and_seen_once(chair: Chair) -> None:
    chair.hear("hello there", kind="ignored")
    chair.hear("mumble", kind="ignored")
    chair.confirm_all()
    assert pass_of(chair).complete
    chair.hear("more mumble", kind="ignored")
    assert asked(chair).text.startswith("1 utterance was put aside")
    assert asked(chair).items == ("u3",)
    chair.key(Promote(utterance="u3", fields=PLAQUE))
    assert keys(chair) == ["finding:f1"]


def test_words_that_fitted_no_field_are_read_with_the_finding(chair: Chair) -> None:
    chair.hear("plaque gribbly", AddFinding(fields=PLAQUE), not_understood=("gribbly",))
    chair.key(StartReview())
    assert '"gribbly"' in asked(chair).text
    assert chair.session.set_aside == ()


def test_a_side_left_out_is_pointed_out(chair: Chair) -> None:
    chair.plaque()
    chair.key(StartReview())
    assert pass_of(chair).notices == (
        "Of the tongue only the left side was mentioned, not the right.",
    )


def test_going_to_a_region_leaves_the_review_and_answers_are_kept(chair: Chair) -> None:
    chair.plaque()
    chair.key(StartReview())
    chair.voice(YES)
    chair.voice(GoTo(region="face"))
    assert chair.session.review is None
    with pytest.raises(ExamError, match="Nothing is being asked"):
        chair.voice(YES)
    chair.key(Save())
    assert "finding:f1" not in keys(chair)
    with pytest.raises(ExamError, match="3 questions are still open"):
        chair.key(Save())


def test_signing(chair: Chair) -> None:
    chair.plaque()
    with pytest.raises(ExamError, match="4 questions are still open"):
        chair.key(Sign(examiner="AB"))
    chair.confirm_all()
    with pytest.raises(ExamError, match="name is missing"):
        chair.key(Sign(examiner="  "))
    with pytest.raises(ExamError, match="never signed by voice"):
        chair.voice(Sign(examiner="AB"))
    chair.key(Sign(examiner=" A.  Berg "))
    assert (chair.session.is_final, chair.session.examiner, chair.session.version) == (
        True,
        "A. Berg",
        1,
    )


def test_a_signature_in_an_utterance_is_refused_too(chair: Chair) -> None:
    chair.confirm_all()
    outcome = chair.hear("sign as a b", Sign(examiner="AB"), kind="command")
    assert not chair.session.is_final
    assert "never signed by voice" in outcome.message


@pytest.mark.parametrize("name", ["a\x1b[2Jb", "abc\u202ecba", "\u200b", "x" * 81])
def test_a_name_that_could_deceive_is_refused(chair: Chair, name: str) -> None:
    chair.confirm_all()
    with pytest.raises(ExamError):
        chair.key(Sign(examiner=name))


def test_a_final_record_takes_no_command_and_hears_nothing(chair: Chair) -> None:
    chair.plaque()
    chair.signed()
    events = chair.session.events
    for command in (Undo(), DeleteFinding(target="f1"), Sign(examiner="X"), StartReview(), YES):
        with pytest.raises(ExamError, match="final"):
            chair.key(command)
    with pytest.raises(ExamError, match="final"):
        chair.hear("one more", AddFinding(fields=FindingFields(region="face")))
    assert chair.session.events == events
    assert not chair.session.can_undo
