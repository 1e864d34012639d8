"""Documents of a second visit: what earlier visits, rules, decisions and the patient add."""

from __future__ import annotations

from datetime import date, timedelta
from io import BytesIO
from pathlib import Path

import pytest
from pypdf import PdfReader

from dictate.exam.commands import (
    Decide,
    FollowLesion,
    NoteRisk,
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
FIRST, SECOND = date(2031, 3, 4), date(2031, 3, 25)


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
