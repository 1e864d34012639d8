"""The risk history: kept as said, read back when it was spoken."""

from __future__ import annotations

import pytest

from dictate.errors import ExamError
from dictate.exam.commands import Answer, DropRisk, NoteRisk, StartReview, Undo
from dictate.exam.question import Question
from dictate.exam.risks import Risk
from dictate.exam.visits import visit_of
from tests.exam_samples import Chair
from tests.visit_samples import chair

SMOKES = NoteRisk(factor="tobacco", answer="yes", words="smokes twenty a day")


def asked(made: Chair) -> list[Question]:
    made.key(StartReview())
    review = made.session.review
    assert review is not None
    return [each for each in review.open if each.kind == "risk"]


def test_spoken_it_is_read_back_once_for_all() -> None:
    made = chair()
    made.hear("smokes", SMOKES, kind="command")
    made.hear("no alcohol", NoteRisk(factor="alcohol", answer="no", words="no alcohol"))
    (question,) = asked(made)
    assert 'tobacco: yes ("smokes twenty a day"); alcohol: no ("no alcohol")' in question.text
    while (review := made.session.review) is not None and review.current is not None:
        made.key(Answer(yes=True))
    assert all(each.doubt is None for each in made.session.risks)
    assert asked(made) == []


def test_typed_it_is_settled() -> None:
    made = chair()
    made.key(SMOKES)
    assert made.session.risks == (
        Risk(factor="tobacco", answer="yes", words="smokes twenty a day"),
    )
    assert asked(made) == []


def test_the_later_word_counts_and_a_contradiction_is_told() -> None:
    made = chair()
    made.voice(SMOKES)
    made.voice(NoteRisk(factor="tobacco", answer="no", words="never smoked"))
    (risk,) = made.session.risks
    assert (risk.answer, risk.doubt) == ("no", "said before: yes")
    made.key(Undo())
    assert made.session.risks[0].answer == "yes"


def test_more_of_the_same_answer_loses_none_of_it() -> None:
    made = chair()
    for words in ("previous oral cancer in 2019", "previous radiotherapy", "previous radiotherapy"):
        made.voice(NoteRisk(factor="previous disease", answer="yes", words=words))
    (risk,) = made.session.risks
    assert risk.words == "previous oral cancer in 2019; previous radiotherapy"


def test_taking_a_line_back() -> None:
    made = chair()
    made.key(SMOKES)
    made.key(DropRisk(factor="tobacco"))
    assert made.session.risks == ()
    with pytest.raises(ExamError, match="Nothing is noted"):
        made.key(DropRisk(factor="tobacco"))


def test_a_visit_keeps_it() -> None:
    made = chair()
    made.key(SMOKES)
    made.signed()
    assert visit_of(made.session).risks == made.session.risks
