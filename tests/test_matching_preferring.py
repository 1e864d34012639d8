"""The reading that makes the best sense is taken, and what it changes is asked about.

Sentences: common practice, no source.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dictate.exam.commands import AddFinding
from dictate.exam.finding import FindingFields
from dictate.matching.reading import Context
from dictate.speech.heard import Utterance
from tests.matching_helpers import MATCHER, doubted, found, heard

SALAD = "white block left buccal mucosa ten millimetres"
SENSE = "white plaque left buccal mucosa ten millimetres"


def taken(utterance: Utterance, context: Context | None = None) -> str:
    return MATCHER.read(utterance, context or Context()).text


def test_a_complete_finding_beats_words_that_fit_nothing() -> None:
    reading = MATCHER.read(heard(SALAD, SENSE), Context())
    assert reading.text == SENSE
    assert found(reading)[0]["kind"] == "plaque"
    assert reading.not_understood == ()


def test_not_where_the_sound_speaks_against_it() -> None:
    assert taken(heard(SALAD, SENSE, step=3.9)) == SALAD
    assert taken(heard(SALAD, SENSE, step=10.0)) == SALAD


@pytest.mark.parametrize(
    ("other", "field"),
    [
        ("white block right buccal mucosa ten millimetres", "side"),
        ("white block left labial mucosa ten millimetres", "region"),
        ("white block left buccal mucosa two millimetres", "size_mm"),
    ],
)
def test_a_critical_value_of_the_reading_that_was_first_is_asked_about(
    other: str, field: str
) -> None:
    reading = MATCHER.read(heard(other, SENSE), Context())
    assert reading.text == SENSE
    assert field in doubted(reading)[0]


@pytest.mark.parametrize(
    "first",
    [
        "undo that",
        "next region",
        "buccal mucosa normal",
        "ulcer left buccal mucosa five millimetres and a white block right tongue",
    ],
)
def test_a_reading_that_asks_for_other_things_is_never_taken_instead(first: str) -> None:
    assert taken(heard(first, SENSE)) == first


def test_talk_is_left_as_it_was_heard() -> None:
    said = "would you like some water"
    assert taken(heard(said, SENSE, dictation=0.1)) == said
    assert MATCHER.read(heard(SALAD, SENSE, dictation=0.1), Context()).kind == "ignored"


def test_an_answer_in_the_review_is_left_as_it_was_heard() -> None:
    assert taken(heard("left", "left side"), Context(reviewing=True)) == "left"


WORDS = [
    "white",
    "red",
    "plaque",
    "ulcer",
    "left",
    "right",
    "tongue",
    "buccal",
    "mucosa",
    "ten",
    "six",
    "millimetres",
    "no",
    "firm",
]


@given(st.lists(st.lists(st.sampled_from(WORDS), min_size=1, max_size=8), min_size=1, max_size=5))
def test_what_is_taken_is_one_of_the_readings_and_every_finding_of_the_first_remains(
    said: list[list[str]],
) -> None:
    utterance = heard(*(" ".join(words) for words in said))
    alone = MATCHER.read(replace(utterance, hypotheses=utterance.hypotheses[:1]), Context())
    reading = MATCHER.read(utterance, Context())
    assert reading.text in {each.text for each in utterance.hypotheses}
    assert number(reading.commands) == number(alone.commands)


def number(commands: tuple[object, ...]) -> int:
    return sum(isinstance(each, AddFinding) for each in commands)


def test_a_detail_too_is_the_one_that_makes_sense() -> None:
    last = FindingFields(region="tongue", side="left", kind="ulcer")
    context = Context(region="tongue", side="left", last=last)
    reading = MATCHER.read(heard("firm and nine tender", "firm and tender", step=0.4), context)
    assert reading.text == "firm and tender"
