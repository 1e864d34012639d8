"""What only the free hearing caught must not pass quietly beside a command or a "normal"."""

from __future__ import annotations

import pytest

from dictate.exam.commands import MarkRegion
from dictate.matching.matcher import Matcher
from dictate.matching.reading import Context, Reading
from dictate.speech.heard import Hypothesis, Utterance, Word
from dictate.vocabulary.loader import load


@pytest.fixture(scope="module")
def matcher() -> Matcher:
    return Matcher(load())


def read(matcher: Matcher, text: str, free: str) -> Reading:
    words = tuple(
        Word(word, index * 0.4, index * 0.4 + 0.3, 0.95) for index, word in enumerate(text.split())
    )
    heard = Utterance((Hypothesis(words, 0.0),), 0.0, len(words) * 0.4, 0.95, 0.98, free)
    return matcher.read(heard, Context())


def test_a_finding_cut_down_to_its_place_is_kept_for_the_review(matcher: Matcher) -> None:
    free = "Left lateral border of the tongue, also eight millimeters, interrated, tender."
    reading = read(matcher, "left lateral border of the tongue", free)
    assert reading.kind == "command"
    assert {"eight", "millimetres", "tender"} <= set(reading.not_understood)


@pytest.mark.parametrize(
    ("text", "free"),
    [
        ("tongue normal", "Tongue is abnormal."),
        ("floor of mouth normal", "Floor of mouth, white patch, normal."),
        ("hard palate normal", "Hard palate not normal."),
    ],
)
def test_a_normal_that_the_free_hearing_denies_is_asked_about(
    matcher: Matcher, text: str, free: str
) -> None:
    (mark,) = read(matcher, text, free).commands
    assert isinstance(mark, MarkRegion)
    assert mark.doubt


@pytest.mark.parametrize(
    ("text", "free"),
    [
        ("tongue within normal limits", "Tongue within normal limits."),
        ("tongue within normal limits", "Ton with enormal lemons."),
        ("next region", "Next region."),
        ("no abnormality detected on the tongue", "No abnormality detected on the tongue."),
    ],
)
def test_the_same_words_garbled_or_not_raise_nothing(
    matcher: Matcher, text: str, free: str
) -> None:
    reading = read(matcher, text, free)
    assert reading.not_understood == ()
    assert not any(isinstance(each, MarkRegion) and each.doubt for each in reading.commands)
