"""A patient nobody saw before: told at once, asked before signing, and given away if wrong."""

from __future__ import annotations

import pytest

from dictate.errors import ExamError
from dictate.exam.commands import Answer, ResolveLesion, Sign, StartReview
from dictate.exam.patients import Patient
from dictate.pipeline.examination import Examination
from dictate.pipeline.identifying import lookalikes, newcomer
from dictate.pipeline.opening import moved, new_examination
from dictate.speech.heard import typed
from dictate.store.patients import PatientBook
from dictate.store.store import Store
from tests.tui_samples import LEXICON, PLAQUE


def people(*identifiers: str) -> list[Patient]:
    return [Patient.of(each) for each in identifiers]


@pytest.mark.parametrize(
    ("typed", "alike"),
    [
        ("D-007", []),
        ("D-00", ["D-007"]),
        ("D-0077", ["D-007"]),
        ("D-070", ["D-007"]),
        ("d-008", ["D-007"]),
        ("D-111", []),
        ("D-700", []),
    ],
)
def test_one_slip_of_the_keyboard_looks_alike(typed: str, alike: list[str]) -> None:
    """Optimal string alignment: one insertion, deletion, substitution or swap of neighbours."""
    assert [each.id for each in lookalikes(typed, people("D-007"))] == alike


def test_who_was_seen_or_registered_is_no_newcomer(store: Store) -> None:
    assert newcomer(store, "p-1") is None
    PatientBook(store).register(Patient.of("Q-5", "Dov Reed"))
    assert newcomer(store, "Q-5") is None


def test_a_new_identifier_names_those_it_looks_like(store: Store) -> None:
    told = newcomer(store, "P-11")
    assert told == "New patient P-11: not seen before. It looks much like P-1 (Ada Rowan)."
    assert newcomer(store, "Z-99") == "New patient Z-99: not seen before."
    told = newcomer(store, "P-")
    assert told is not None
    assert "P-1 (Ada Rowan), P-2 (Bram Thistle) and P-3 (Cleo Rowan)" in told


def questions(examination: Examination) -> list[str]:
    review = examination.session.review
    return [each.kind for each in review.open] if review else []


def test_the_review_asks_first_whose_record_it_is(store: Store) -> None:
    examination = new_examination(store, LEXICON, patient="P-11")
    examination.do(StartReview())
    assert questions(examination)[0] == "patient"
    with pytest.raises(ExamError, match="still open"):
        examination.do(Sign(examiner="A. Berg"))
    examination.do(Answer(yes=False))
    assert questions(examination)[0] == "patient", "a no does not settle it"
    examination.do(Answer(yes=True))
    assert "patient" not in questions(examination)


def test_a_known_patient_is_not_asked_about(store: Store) -> None:
    examination = new_examination(store, LEXICON, patient="P-1")
    examination.do(StartReview())
    assert "patient" not in questions(examination)


def test_a_slip_leaves_no_patient_behind_once_the_draft_is_given_to_the_right_one(
    store: Store,
) -> None:
    wrong = new_examination(store, LEXICON, patient="P-11")
    wrong.hear(typed(PLAQUE))
    wrong.do(StartReview())
    wrong.do(Answer(yes=True))
    right = moved(store, LEXICON, wrong.session, "P-1")
    assert right.session.patient == "P-1"
    assert right.session.findings == wrong.session.findings
    assert [each.lesion.label for each in right.session.lesions] == ["L1"]
    assert "link" in questions(right), "today's finding may be the lesion of the last visit"
    assert [each.id for each in PatientBook(store).all()] == ["P-1", "P-2", "P-3"]
    assert wrong.session.id not in {each.id for each in store.list()}
    assert store.load(right.session.id).findings == right.session.findings


def test_confirming_one_identifier_confirms_no_other(store: Store) -> None:
    draft = new_examination(store, LEXICON, patient="P-11")
    draft.do(StartReview())
    draft.do(Answer(yes=True))
    again = moved(store, LEXICON, draft.session, "P-12")
    assert questions(again)[0] == "patient"


def test_what_was_said_of_a_patients_lesions_is_never_given_to_another(store: Store) -> None:
    examination = new_examination(store, LEXICON, patient="P-1")
    examination.do(ResolveLesion(lesion="L1"))
    with pytest.raises(ExamError, match="Lesions of P-1 were spoken of"):
        moved(store, LEXICON, examination.session, "P-2")
    with pytest.raises(ExamError, match="final"):
        moved(store, LEXICON, store.load("s1-P-1"), "P-2")
