"""Documents of a second visit: what earlier visits, rules, decisions and the patient add."""

from __future__ import annotations

from datetime import date, timedelta
from io import BytesIO
from pathlib import Path

import pytest
from pypdf import PdfReader

from dictate.exam.commands import (
    Amend,
    ChangeField,
    Decide,
    FollowLesion,
    NoteRisk,
    RecordAnswer,
    ResolveLesion,
    Sign,
    StartReview,
)
from dictate.exam.finding import FindingFields
from dictate.exam.lesion_history import lesions
from dictate.exam.lesions import Lesion
from dictate.exam.patients import Patient
from dictate.exam.session import Session
from dictate.exam.visits import visit_of
from dictate.export.audit_csv import Audited, followup_csv
from dictate.export.chart import Chart
from dictate.export.formats import WRITERS
from dictate.export.gather import extras_of
from dictate.export.note import sections
from dictate.store.patients import PatientBook
from dictate.store.store import Store
from dictate.vocabulary.loader import load
from tests.cli_runner import dictate
from tests.exam_samples import START, Chair

LEXICON = load()
FIRST, SECOND, THIRD = date(2031, 3, 4), date(2031, 3, 25), date(2031, 4, 15)


def visit(name: str, on: date, earlier: tuple[Lesion, ...] = ()) -> Chair:
    at = START + (on - FIRST)
    session = Session.start(
        name,
        LEXICON,
        at,
        patient="K-1042",
        on=on,
        lesions=earlier,
        followup=LEXICON.followup.chosen(),
    )
    seat = Chair(session)
    seat.now = at
    return seat


def first() -> Chair:
    """A plaque, to be looked at again in two weeks, and a nodule."""
    seat = visit("s-1", FIRST)
    seat.plaque(size_mm=(6.0, 4.0))
    seat.plaque(region="lips", subsite="lower lip", kind="nodule", size_mm=(3.0,))
    seat.key(Decide(target="f1", decision="recheck", due=date(2031, 3, 18), reason="cause removed"))
    seat.key(Decide(target="f2", decision="no_action", reason="old scar"))
    return sign(seat)


def second() -> Chair:
    """The plaque is larger and referred; the nodule is gone; the patient smokes."""
    seat = visit("s-2", SECOND, lesions([visit_of(first().session)]))
    larger = FindingFields(size_mm=(10.0, 6.0), consistency=("indurated",))
    seat.key(FollowLesion(lesion="L1", what="changed", fields=larger))
    seat.key(ResolveLesion(lesion="L2"))
    seat.key(NoteRisk(factor="tobacco", answer="yes", words="twenty a day"))
    seat.key(Decide(target="f1", decision="refer", reason="larger and indurated"))
    return sign(seat)


def sign(seat: Chair) -> Chair:
    seat.key(StartReview())
    seat.confirm_all()
    seat.key(Sign(examiner="A. Berg"))
    return seat


def lines(session: Session, name: str) -> str:
    (found,) = [x for x in sections(Chart(session, extras_of(session))) if x.name.startswith(name)]
    return " | ".join([*found.lines, *(f"{label} {text}" for label, text in found.pairs)])


def test_sizes_of_both_visits_are_told_with_the_change() -> None:
    session = second().session
    points = extras_of(session).sizes["f1"]
    assert [(each.on, each.size_mm) for each in points] == [
        (FIRST, (6.0, 4.0)),
        (SECOND, (10.0, 6.0)),
    ]
    assert "longest +4 mm (+67%)" in lines(session, "Sizes over time")


def test_earlier_lesions_are_told_with_what_became_of_them() -> None:
    told = lines(second().session, "Lesions of earlier visits")
    assert "L1, left lateral border of the tongue, plaque, first seen 2031-03-04: changed" in told
    assert "changed; see finding 1. Described on 2031-03-04 as one 6 by 4 mm" in told
    assert "L2, left lower lip, nodule, first seen 2031-03-04: resolved" in told


def test_rules_are_cited_and_what_should_not_wait_comes_first() -> None:
    session = second().session
    assessed = session.assessment("f1").prompts
    told = lines(session, "Prompts")
    for prompt in assessed:
        assert prompt.text in told
        assert prompt.source in told
    if session.assessment("f1").at_once:
        assert told.startswith("DO NOT WAIT: Finding 1: ")


def test_decisions_are_told_with_reason_and_examiner() -> None:
    told = lines(second().session, "Decisions")
    assert told.startswith("Finding 1: refer or evaluate further")
    assert "because larger and indurated (A. Berg, 2031-03-25)" in told
    assert lines(second().session, "Risk history") == 'tobacco yes ("twenty a day")'


def test_the_recheck_is_decided_and_later_visits_show_when_it_was_done() -> None:
    one = first().session
    (open_line,) = extras_of(one).rechecks
    assert (open_line.due, open_line.finding, open_line.done) == (date(2031, 3, 18), "f1", None)
    history = lesions([visit_of(one), visit_of(second().session)])
    (done_line,) = extras_of(one, lesions=history).rechecks
    assert done_line.done == SECOND
    audited = [Audited(one, extras_of(one, lesions=history))]
    assert "2031-03-18,2031-03-25,late,7" in followup_csv(audited, today=date(2031, 4, 1))


def test_in_a_draft_the_proposed_day_says_that_nothing_is_decided() -> None:
    seat = visit("s-3", FIRST)
    seat.plaque()
    (line,) = extras_of(seat.session).rechecks
    assert line.due == FIRST + timedelta(days=LEXICON.followup.settings.recheck_days)
    assert "not decided yet" in line.why


def test_the_patients_page_says_in_plain_words_what_was_decided() -> None:
    content = WRITERS["pdf"](second().session)
    assert isinstance(content, bytes)
    page = " ".join(PdfReader(BytesIO(content)).pages[-1].extract_text().split())
    assert "Number 1: you are sent to somebody who looks at it more closely." in page
    assert "If you have heard nothing of it by 8 April 2031, ask." in page
    assert "No date is recorded" not in page


@pytest.mark.parametrize("name", sorted(WRITERS))
def test_every_document_of_a_second_visit_is_made(name: str) -> None:
    assert WRITERS[name](second().session)


def test_the_command_adds_the_patients_name_from_the_store(tmp_path: Path) -> None:
    with Store(tmp_path) as store:
        PatientBook(store).register(Patient.of("K-1042", "Alva Nyström", 1961))
        store.create(first().session)
        store.create(second().session)
    told = dictate("export", "s-1", home=tmp_path)
    assert told.code == 0, told.err
    assert "Alva Nyström" in told.out
    assert "by 2031-03-18: cause removed; done 2031-03-25" in told.out
    assert "Born        1961" in told.out


def third() -> Chair:
    """The plaque is smaller than at first, but larger than last time."""
    larger = lesions([visit_of(first().session), visit_of(shrunk().session)])
    seat = visit("s-3", THIRD, larger)
    seat.key(FollowLesion(lesion="L1", what="changed", fields=FindingFields(size_mm=(4.0, 3.0))))
    seat.key(ResolveLesion(lesion="L2"))
    seat.key(Decide(target="f1", decision="refer", reason="has grown"))
    return sign(seat)


def shrunk() -> Chair:
    seat = visit("s-2", SECOND, lesions([visit_of(first().session)]))
    seat.key(FollowLesion(lesion="L1", what="changed", fields=FindingFields(size_mm=(3.0, 2.0))))
    seat.key(ResolveLesion(lesion="L2"))
    seat.key(Decide(target="f1", decision="recheck", reason="nearly gone"))
    return sign(seat)


def test_growth_since_the_last_visit_is_not_hidden_by_the_first() -> None:
    told = lines(third().session, "Sizes over time")
    assert "Since 2031-03-04: smaller: longest -2 mm" in told
    assert told.endswith("Since 2031-03-25: larger: longest +1 mm (+33%), product +100%.")


def test_how_long_it_is_there_agrees_with_the_prompts() -> None:
    """Three weeks when it was first seen, and three weeks since."""
    before = visit("s-1", FIRST)
    before.plaque(duration_days=21)
    before.key(Decide(target="f1", decision="refer", reason="three weeks"))
    seat = visit("s-2", SECOND, lesions([visit_of(sign(before).session)]))
    smaller = FindingFields(size_mm=(3.0, 2.0))
    seat.key(FollowLesion(lesion="L1", what="changed", fields=smaller))
    session = seat.session
    (prompt,) = (x for x in session.assessment("f1").prompts if x.rule == "two-weeks")
    assert prompt.because == "present 6 weeks"
    content = WRITERS["pdf"](session)
    assert isinstance(content, bytes)
    page = " ".join(PdfReader(BytesIO(content)).pages[0].extract_text().split())
    assert "6 weeks first seen 2031-03-04" in page


def amended(seat: Chair, by: str, *changes: Decide | RecordAnswer | ChangeField) -> Session:
    seat.now = START + (THIRD - FIRST)
    seat.key(Amend(examiner=by, why="as told", changes=changes))
    return seat.session


def test_a_decision_is_told_of_who_made_it_when() -> None:
    change = Decide(target="f1", decision="biopsy", reason="referral declined")
    told = lines(amended(second(), "C. Dahl", change), "Decisions")
    assert "because referral declined (C. Dahl, 2031-04-15)" in told


def test_an_answer_is_told_of_its_finding_and_asked_after_no_more() -> None:
    answer = RecordAnswer(target="f1", answer="No dysplasia", on=THIRD, recheck=date(2031, 7, 1))
    session = amended(second(), "C. Dahl", answer)
    told = lines(session, "Decisions")
    assert "Finding 1: answer of 15 April 2031: No dysplasia (C. Dahl, 2031-04-15)" in told
    assert "Finding 1: by 2031-07-01: after the answer" in lines(session, "Re-checks")
    assert "answer on L1 of 2031-04-15: No dysplasia" in lines(session, "Amendments")
    history = lesions([visit_of(first().session), visit_of(session)])
    content = WRITERS["pdf"](session, extras_of(session, lesions=history))
    assert isinstance(content, bytes)
    page = " ".join(PdfReader(BytesIO(content)).pages[-1].extract_text().split())
    assert "If you have heard nothing" not in page
    assert "By 1 July 2031 (number 1)" in page


def test_an_amendment_speaks_of_findings_by_their_numbers_in_the_document() -> None:
    """The nodule of the lip was dictated second and is first in the order of the protocol."""
    change = ChangeField(target="f2", field="size_mm", value=[4.0])
    session = amended(first(), "C. Dahl", change)
    assert lines(session, "Findings").startswith("1. Left lower lip: one 4 mm white nodule.")
    assert "finding 1 size: 3 mm -> 4 mm" in lines(session, "Amendments")


def test_dates_of_one_day_are_one_line_of_the_patients_page() -> None:
    seat = visit("s-4", FIRST)
    seat.plaque()
    seat.plaque(side="right")
    content = WRITERS["pdf"](seat.session)
    assert isinstance(content, bytes)
    page = " ".join(PdfReader(BytesIO(content)).pages[-1].extract_text().split())
    assert "By 18 March 2031 (numbers 1 and 2)" in page


def test_a_recheck_after_an_answer_is_done_when_it_was_looked_at() -> None:
    answer = RecordAnswer(target="f1", answer="No dysplasia", on=SECOND, recheck=THIRD)
    seat = visit("s-1", FIRST)
    seat.plaque()
    seat.key(Decide(target="f1", decision="refer", reason="persistent"))
    one = amended(sign(seat), "A. Berg", answer)
    again = visit("s-2", THIRD, lesions([visit_of(one)]))
    again.key(FollowLesion(lesion="L1", what="same"))
    again.key(Decide(target="f1", decision="no_action", reason="unchanged"))
    history = lesions([visit_of(one), visit_of(sign(again).session)])
    (line,) = extras_of(one, lesions=history).rechecks
    assert (line.due, line.done, line.finding) == (THIRD, THIRD, "f1")


def test_prompts_are_told_in_the_order_of_the_findings() -> None:
    """The patch of the lip was dictated second and is first in the order of the protocol."""
    seat = visit("s-1", FIRST)
    seat.plaque(duration_days=21)
    seat.plaque(region="lips", subsite="lower lip", duration_days=21)
    told = lines(seat.session, "Prompts").split(" | ")
    assert told == sorted(told, key=lambda line: int(line.split(":")[0].removeprefix("Finding ")))
    assert {line.split(":")[0] for line in told} == {"Finding 1", "Finding 2"}
