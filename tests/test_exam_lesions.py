"""Lesions from visit to visit: followed, told apart, resolved, and never forgotten silently."""

from __future__ import annotations

import pytest

from dictate.errors import ExamError
from dictate.exam.commands import (
    AddFinding,
    Amend,
    Answer,
    ChangeField,
    DeleteFinding,
    FollowLesion,
    LeaveLesion,
    LinkFinding,
    ResolveLesion,
    Sign,
    StartReview,
    TellApart,
    Undo,
)
from dictate.exam.events import Event
from dictate.exam.finding import Doubt, FindingFields
from dictate.exam.lesions import Lesion, lesion_words, may_be_same
from dictate.exam.patients import Patient, patient_id
from dictate.exam.question import Question
from dictate.exam.session import Session
from dictate.exam.visits import visit_of
from tests.exam_samples import PLAQUE, Chair
from tests.visit_samples import FIRST, LATER, chair, first_visit, left_by, open_lesion

YES, NO = Answer(yes=True), Answer(yes=False)
ULCER = FindingFields(region="buccal mucosa", side="right", kind="ulcer", size_mm=(8.0,))
TWO = (open_lesion(1), open_lesion(2, **ULCER.model_dump()))


def asked(made: Chair, kind: str) -> list[Question]:
    if not made.session.reviewing:
        made.key(StartReview())
    review = made.session.review
    assert review is not None
    return [each for each in review.open if each.kind == kind]


def answer_until(made: Chair, kind: str) -> Question:
    """Say yes to everything before the first question of that kind."""
    if not made.session.reviewing:
        made.key(StartReview())
    while True:
        review = made.session.review
        assert review is not None
        question = review.current
        assert question is not None
        if question.kind == kind:
            return question
        made.key(YES)


# Patients


def test_a_patient_is_known_by_the_clinics_identifier() -> None:
    assert Patient.of("  P  17 ", " Ada  Rowan ", 1961) == Patient(
        id="P 17", name="Ada Rowan", birth_year=1961
    )
    assert Patient.of("P-17", "  ").name is None
    for wrong in ("", "   ", "x" * 65, "P\u202e17", "P\u200b17"):
        with pytest.raises(ExamError):
            patient_id(wrong)
    with pytest.raises(ExamError, match="year of birth"):
        Patient.of("P-17", birth_year=61)


# What visits leave


def test_each_abnormal_finding_becomes_a_lesion() -> None:
    variant = FindingFields(region="buccal mucosa", side="left", normal_variant="linea alba")
    found = left_by(first_visit(PLAQUE, variant, ULCER))
    assert [each.label for each in found] == ["L1", "L2"]
    assert [each.fields.kind for each in found] == ["plaque", "ulcer"]
    assert found[0].first_seen == FIRST
    assert found[0].id == f"s-{FIRST}/f1"
    assert lesion_words(found[0]) == (
        "L1, left lateral border of the tongue, plaque, 10 by 6 mm on 2031-03-04"
    )


def test_a_lesion_is_followed_over_three_visits() -> None:
    visits = [first_visit()]
    for day, size in ((LATER, (6.0, 4.0)), (LATER.replace(month=4), (4.0, 3.0))):
        made = chair(day, open_=left_by(*visits))
        said = FindingFields(size_mm=size, change="shrinking")
        made.key(FollowLesion(lesion="L1", fields=said))
        made.signed()
        visits.append(visit_of(made.session))
    (lesion,) = left_by(*visits)
    assert [size for _, size in lesion.sizes()] == [(10.0, 6.0), (6.0, 4.0), (4.0, 3.0)]
    assert [each.what for each in lesion.sightings] == ["new", "changed", "changed"]
    assert lesion.state == "open"


def numbers(*signed: Chair) -> dict[str, int]:
    found = left_by(*(visit_of(each.session) for each in signed))
    return {each.id: each.number for each in found}


def test_numbers_are_never_given_anew() -> None:
    """Not by a later visit, not by an amendment, not when the first finding is struck out."""
    made = chair()
    made.plaque()
    made.plaque(side="right")
    made.signed()
    second = chair(LATER, session="s-b")
    second.plaque(region="buccal mucosa", subsite=None)
    second.signed()
    before = {
        each.id: each.number for each in left_by(visit_of(made.session), visit_of(second.session))
    }
    assert list(before.values()) == [1, 2, 3]
    made.now = second.now
    added = AddFinding(fields=ULCER)
    made.key(Amend(examiner="B", why="left out", changes=(added, DeleteFinding(target="f1"))))
    after = {
        each.id: each.number for each in left_by(visit_of(second.session), visit_of(made.session))
    }
    assert f"s-{FIRST}/f1" not in after, "struck out"
    assert after.pop(f"s-{FIRST}/f3") == 4
    assert after == {name: number for name, number in before.items() if number != 1}


def test_resolved_and_not_looked_at() -> None:
    visits = [first_visit(PLAQUE, ULCER)]
    made = chair(LATER, open_=left_by(*visits))
    made.key(ResolveLesion(lesion="L1"))
    made.key(LeaveLesion(lesion="L2", reason="no time"))
    made.signed()
    visits.append(visit_of(made.session))
    plaque, ulcer = left_by(*visits)
    assert plaque.state == "resolved"
    assert ulcer.state == "open"
    assert [each.what for each in ulcer.sightings] == ["new", "not looked at"]
    assert ulcer.latest.on == FIRST


# At a new visit


def test_the_open_lesions_of_the_last_visit_are_there_from_the_start() -> None:
    made = chair(LATER, open_=TWO)
    assert [(each.lesion.label, each.status) for each in made.session.lesions] == [
        ("L1", "not mentioned"),
        ("L2", "not mentioned"),
    ]
    assert made.session.examined_on == LATER


def test_the_same_as_last_time_keeps_what_was_described() -> None:
    lesion = open_lesion(duration_days=21, tender=True, change="growing", note="by the bridge")
    made = chair(LATER, open_=(lesion,))
    made.hear("lesion one same", FollowLesion(lesion="l1", what="same", said="lesion one same"))
    (finding,) = made.session.findings
    assert finding.size_mm == (10.0, 6.0)
    assert finding.colours == ("white",)
    assert finding.tender is True
    assert finding.change == "stable"
    assert finding.duration_days is None, "three weeks then are not three weeks now"
    assert finding.utterances == ("u1",)
    assert made.session.lesions[0].status == "same"
    assert made.session.lesions[0].finding == finding


def test_a_change_keeps_the_place_and_nothing_that_was_not_said() -> None:
    made = chair(LATER, open_=(open_lesion(tender=True, colours=("white",)),))
    made.key(FollowLesion(lesion="L1", fields=FindingFields(size_mm=(6.0, 4.0))))
    (finding,) = made.session.findings
    assert (finding.region, finding.subsite, finding.side, finding.kind) == (
        "tongue",
        "lateral border",
        "left",
        "plaque",
    )
    assert finding.size_mm == (6.0, 4.0)
    assert finding.colours == ()
    assert finding.tender is None


@pytest.mark.parametrize(
    ("said", "size", "doubted"),
    [
        ("shrinking", (6.0, 4.0), False),
        ("shrinking", (12.0, 8.0), True),
        ("growing", (6.0, 4.0), True),
        ("growing", (12.0, 8.0), False),
        ("stable", (10.0, 6.0), False),
        ("stable", (10.0, 7.0), True),
    ],
)
def test_words_that_do_not_fit_the_figures_are_asked_about(
    said: str, size: tuple[float, ...], doubted: bool
) -> None:
    made = chair(LATER, open_=(open_lesion(),))
    made.key(FollowLesion(lesion="L1", fields=FindingFields(size_mm=size, change=said)))
    assert ("size_mm" in made.session.findings[0].doubted()) is doubted


def test_another_side_than_last_time_is_asked_about() -> None:
    made = chair(LATER, open_=(open_lesion(),))
    made.key(FollowLesion(lesion="L1", fields=FindingFields(side="right", size_mm=(6.0,))))
    finding = made.session.findings[0]
    assert finding.side == "right"
    assert finding.doubted() == {"side"}
    assert "left on 2031-03-04" in finding.needs_review[0].why


def test_a_lesion_that_nobody_spoke_of_is_asked_about() -> None:
    made = chair(LATER, open_=TWO)
    first, second = asked(made, "lesion")
    assert first.text == (
        "Nothing was said of L1, left lateral border of the tongue, plaque, 10 by 6 mm on "
        "2031-03-04. Was it not looked at today?"
    )
    assert "L2" in second.text
    with pytest.raises(ExamError, match="still open"):
        made.key(Sign(examiner="A. Berg"))
    answer_until(made, "lesion")
    assert made.key(NO).message.startswith("Say or type what it is like")
    made.key(FollowLesion(lesion="L1", what="same"))
    assert [each.lesion for each in asked(made, "lesion")] == ["s0/f2"]
    answer_until(made, "lesion")
    made.key(YES)
    assert made.session.lesions[1].status == "not looked at"


def test_resolved_by_voice_is_read_back() -> None:
    made = chair(LATER, open_=TWO)
    made.hear("lesion one resolved", ResolveLesion(lesion="L1"), kind="command")
    question = next(each for each in asked(made, "lesion") if each.key.endswith("resolved"))
    assert "no longer there" in question.text
    made.key(Undo())
    made.key(StartReview())
    answer_until(made, "lesion")
    made.key(NO)
    assert made.session.lesions[0].status == "not mentioned"
    made.key(ResolveLesion(lesion="L1"))
    assert [each.lesion for each in asked(made, "lesion")] == ["s0/f2"], "typed: no doubt"


def test_a_finding_at_the_place_of_an_open_lesion_is_asked_about_never_linked() -> None:
    made = chair(LATER, open_=TWO)
    made.plaque(kind="ulcer", size_mm=(12.0,))
    assert made.session.lesions[0].status == "not mentioned"
    (question,) = asked(made, "link")
    assert question.finding == "f1"
    assert "Is this L1, left lateral border of the tongue, plaque" in question.text
    answer_until(made, "link")
    made.key(YES)
    assert made.session.lesions[0].status == "linked"
    assert made.session.lesions[0].finding is not None
    assert not asked(made, "link")


def test_told_apart_it_is_a_lesion_of_its_own() -> None:
    visits = [first_visit()]
    made = chair(LATER, open_=left_by(*visits))
    made.plaque(size_mm=(3.0,))
    answer_until(made, "link")
    assert made.key(NO).message == "Recorded as a lesion of its own."
    assert not asked(made, "link")
    assert [each.label for each in left_by(*visits)] == ["L1"]
    while made.session.review is not None and made.session.review.open:
        made.key(YES)
    made.key(Sign(examiner="A. Berg"))
    visits.append(visit_of(made.session))
    assert [each.label for each in left_by(*visits)] == ["L1", "L2"]


@pytest.mark.parametrize(
    ("changes", "expected"),
    [
        ({}, True),
        ({"kind": "ulcer"}, True),
        ({"subsite": None}, True),
        ({"side": None}, True),
        ({"side": "bilateral"}, True),
        ({"side": "right"}, False),
        ({"subsite": "dorsum"}, False),
        ({"region": "buccal mucosa", "subsite": None}, False),
        ({"subsite": "posterior lateral border"}, True),
    ],
)
def test_which_places_may_be_one(changes: dict[str, object], expected: bool) -> None:
    fields = FindingFields.model_validate({**PLAQUE.model_dump(), **changes})
    assert may_be_same(fields, open_lesion()) is expected


def test_a_doubted_link_is_asked_about_and_may_be_cut() -> None:
    made = chair(LATER, open_=TWO)
    made.key(FollowLesion(lesion="L2", what="same", doubt="“to” was taken as the number 2"))
    (question,) = asked(made, "link")
    assert "“to” was taken" in question.text
    answer_until(made, "link")
    made.key(NO)
    assert made.session.lesions[1].status == "not mentioned"
    assert "f1" not in made.session.state.confirmed, "it was L2's description: read it again"


def test_a_finding_that_is_put_elsewhere_may_not_be_that_lesion() -> None:
    made = chair(LATER, open_=TWO)
    made.key(FollowLesion(lesion="L1", what="same"))
    assert not asked(made, "link")
    made.key(ChangeField(target="f1", field="side", value="right"))
    (question,) = asked(made, "link")
    assert "its place was changed" in question.text
    answer_until(made, "link")
    made.key(YES)
    assert not asked(made, "link")


def test_deleting_the_description_brings_the_lesion_back_as_not_mentioned() -> None:
    made = chair(LATER, open_=TWO)
    made.key(FollowLesion(lesion="L1", what="same"))
    with pytest.raises(ExamError, match="recorded today as f1"):
        made.key(ResolveLesion(lesion="L1"))
    with pytest.raises(ExamError, match="recorded today as f1"):
        made.key(FollowLesion(lesion="L1", what="same"))
    made.key(DeleteFinding(target="f1"))
    assert made.session.lesions[0].status == "not mentioned"


def test_linking_by_hand() -> None:
    made = chair(LATER, open_=TWO)
    made.plaque()
    made.key(LinkFinding(finding="f1", lesion="L2"))
    assert made.session.lesions[1].status == "linked"
    with pytest.raises(ExamError, match="is L2 already"):
        made.key(LinkFinding(finding="f1", lesion="L1"))
    made.key(TellApart(finding="f1", lesion="L2"))
    made.key(LinkFinding(finding="f1", lesion="L1"))
    assert [each.status for each in made.session.lesions] == ["linked", "not mentioned"]


def test_an_unknown_lesion_is_refused() -> None:
    made = chair(LATER, open_=TWO)
    for command in (
        FollowLesion(lesion="L7"),
        ResolveLesion(lesion="L7"),
        LeaveLesion(lesion="L7"),
    ):
        with pytest.raises(ExamError, match="open are: L1, L2"):
            made.key(command)
    with pytest.raises(ExamError, match="open are: none"):
        chair().key(ResolveLesion(lesion="L1"))


def test_doubts_of_the_hearing_stay_with_the_finding() -> None:
    made = chair(LATER, open_=TWO)
    doubt = Doubt(field="size_mm", why="no unit was said: millimetres assumed")
    made.key(
        FollowLesion(lesion="L1", fields=FindingFields(size_mm=(6.0, 4.0)), needs_review=(doubt,))
    )
    assert made.session.findings[0].needs_review == (doubt,)


def test_undo_and_the_journal_keep_it_all() -> None:
    made = chair(LATER, open_=TWO)
    before = made.session.state
    made.key(FollowLesion(lesion="L1", what="same"))
    made.key(ResolveLesion(lesion="L2"))
    lines = [each.model_dump_json() for each in made.session.events]
    again = Session.from_events(Event.model_validate_json(line) for line in lines)
    assert again.state == made.session.state
    assert again.lesions == made.session.lesions
    made.key(Undo())
    made.key(Undo())
    assert made.session.state == before


def test_an_old_record_without_a_day_or_lesions_still_reads() -> None:
    made = chair()
    old = made.session.events[0].model_dump(mode="json")
    for name in ("on", "lesions", "followup"):
        del old["body"][name]
    again = Session.from_events([Event.model_validate(old)])
    assert again.examined_on == FIRST
    assert again.lesions == ()
    assert again.review is None


def test_a_draft_is_no_visit() -> None:
    with pytest.raises(ExamError, match="not signed"):
        visit_of(chair().session)


def test_a_lesion_needs_a_sighting_to_be_described() -> None:
    lesion = open_lesion()
    assert isinstance(lesion, Lesion)
    assert lesion.latest.on == FIRST
    assert lesion.plan is None


def test_a_lesion_that_is_called_a_normal_variant_now_keeps_that_in_its_history() -> None:
    first = first_visit()
    made = chair(LATER, open_=left_by(first))
    variant = FindingFields(normal_variant="foliate papillae")
    made.key(FollowLesion(lesion="L1", what="changed", fields=variant))
    made.signed()
    (lesion,) = left_by(first, visit_of(made.session))
    assert [each.what for each in lesion.sightings] == ["new", "changed"]
    assert lesion.fields.normal_variant == "foliate papillae"
    assert len(lesion.plans) == 1, "a normal variant gets no decision of its own"


def test_the_side_of_a_lesion_that_is_gone_was_spoken_of() -> None:
    made = chair(LATER, open_=left_by(first_visit()))
    made.key(ResolveLesion(lesion="L1"))
    made.plaque(side="right")
    (tongue,) = (each for each in made.session.coverage if each.region == "tongue")
    assert tongue.unmentioned is None


def test_a_side_amended_under_a_later_visit_is_asked_at_the_next() -> None:
    """Left was taken over by the second visit; then the first says that it was the right."""
    first = chair()
    first.plaque()
    first.signed()
    second = chair(LATER, open_=left_by(visit_of(first.session)))
    second.key(FollowLesion(lesion="L1", what="same"))
    second.signed()
    assert left_by(visit_of(first.session), visit_of(second.session))[0].clash is None
    change = ChangeField(target="f1", field="side", value="right")
    first.key(Amend(examiner="B", why="side mistaken", changes=(change,)))
    (lesion,) = left_by(visit_of(first.session), visit_of(second.session))
    told = "visits disagree on the side of L1: right on 2031-03-04, left on 2031-03-18"
    assert lesion.clash == ("side", told)
    third = chair(LATER.replace(month=4), open_=(lesion,))
    third.key(FollowLesion(lesion="L1", what="same"))
    assert [(each.field, each.why) for each in third.session.findings[0].needs_review] == [
        ("side", told)
    ]
