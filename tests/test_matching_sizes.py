"""Spoken sizes and durations."""

from __future__ import annotations

import pytest
from num2words import num2words

from dictate.matching.durations import read_duration
from dictate.matching.sizes import read_size
from dictate.matching.spotting import units_of
from dictate.matching.text import normalise
from dictate.vocabulary.loader import load
from dictate.vocabulary.schema import Slot
from tests.matching_helpers import found, read

LENGTHS = units_of(load(), Slot.LENGTH_UNIT)
TIMES = units_of(load(), Slot.TIME_UNIT)

SIZES = [
    ("ten by six millimetres", [10, 6]),
    ("10 x 6 mm", [10, 6]),
    ("10x6mm", [10, 6]),
    ("10 × 6 × 4 mm", [10, 6, 4]),
    ("one point five centimetres", [15]),
    ("1.5cm", [15]),
    ("about a centimetre", [10]),
    ("half a centimetre", [5]),
    ("half centimetre", [5]),
    ("three quarters of a centimetre", [7.5]),
    ("a centimetre and a half", [15]),
    ("one and a half centimetres", [15]),
    ("ten millimetres by six", [10, 6]),
    ("1 cm by 8 mm", [10, 8]),
    ("two by one and a half centimetres", [20, 15]),
    ("ten millimetres long and six wide", [10, 6]),
    ("measuring twelve millimetres in diameter", [12]),
    ("approximately eight mils", [8]),
    ("one hundred and five millimetres", [105]),
    ("point five millimetres", [0.5]),
    ("six by ten millimetres", [6, 10]),
]


@pytest.mark.parametrize(("text", "mm"), SIZES)
def test_sizes_said_plainly(text: str, mm: list[float]) -> None:
    words = normalise(text)
    size = read_size(words, 0, LENGTHS)
    assert size is not None
    assert (list(size.mm), size.end) == (mm, len(words))
    assert size.whys == ()


@pytest.mark.parametrize(
    ("text", "mm", "why"),
    [
        ("twelve by eight by four", [12, 8, 4], "no unit"),
        ("measuring ten", [10], "no unit"),
        ("five to six millimetres", [6], "range"),
        ("ten to fifteen by five millimetres", [15, 5], "range"),
        ("to millimetres", [2], "taken as the number"),
        ("ten by for millimetres", [10, 4], "taken as the number"),
        ("less than five millimetres", [5], "bound"),
        ("just over a centimetre", [10], "bound"),
        ("a few millimetres", [], "no figure"),
        ("a couple of millimetres", [2], "couple"),
        ("one point fifteen centimetres", [11.5], "point"),
    ],
)
def test_sizes_to_be_asked_about(text: str, mm: list[float], why: str) -> None:
    size = read_size(normalise(text), 0, LENGTHS)
    assert size is not None
    assert list(size.mm) == mm
    assert any(why in each for each in size.whys)


@pytest.mark.parametrize("tenths", range(1, 200))
def test_one_decimal_sizes_in_words_read_back(tenths: int) -> None:
    """Number words by num2words: an outside check of the reading."""
    for unit, factor in (("millimetres", 1), ("centimetres", 10)):
        size = read_size(normalise(f"{num2words(tenths / 10)} {unit}"), 0, LENGTHS)
        assert size is not None
        assert size.mm == (pytest.approx(tenths / 10 * factor),)


@pytest.mark.parametrize("text", ["by six", "the", "a five", "millimetres", "for", "to"])
def test_what_begins_no_size(text: str) -> None:
    assert read_size(normalise(text), 0, LENGTHS) is None


DURATIONS = [
    ("three weeks", 21),
    ("for three weeks", 21),
    ("a fortnight", 14),
    ("2 weeks", 14),
    ("for about ten days", 10),
    ("six months", 180),
    ("since yesterday", 1),
    ("three weeks ago", 21),
    ("a week and a half", 10),
    ("half a year", 182),
    ("for the past three months", 90),
    ("one and a half months", 45),
    ("one week or so", 7),
    ("a year", 365),
]


@pytest.mark.parametrize(("text", "days"), DURATIONS)
def test_durations_said_plainly(text: str, days: int) -> None:
    words = normalise(text)
    duration = read_duration(words, 0, TIMES)
    assert duration is not None
    assert (duration.days, duration.end) == (days, len(words))
    assert duration.whys == ()


@pytest.mark.parametrize(
    ("text", "days", "why"),
    [
        ("since last month", 30, "one whole one"),
        ("two to three weeks", 21, "range"),
        ("six or seven weeks", 49, "range"),
        ("a week to ten days", 10, "range"),
        ("a couple of weeks", 14, "couple"),
        ("a few days", 3, "few"),
        ("several weeks", None, "no figure"),
        ("for more than three weeks", 21, "bound"),
        ("half a day", 1, "less than a day"),
        ("nine hundred years", None, "too long"),
    ],
)
def test_durations_to_be_asked_about(text: str, days: int | None, why: str) -> None:
    duration = read_duration(normalise(text), 0, TIMES)
    assert duration is not None
    assert duration.days == days
    assert any(why in each for each in duration.whys)


@pytest.mark.parametrize("text", ["for", "since monday", "three", "last finding", "a tongue"])
def test_what_begins_no_duration(text: str) -> None:
    assert read_duration(normalise(text), 0, TIMES) is None


def test_a_distance_at_the_end_of_its_clause_is_no_size() -> None:
    """The words before it name the landmark; it once stopped the reading of the whole utterance."""
    reading = read("mucocele, left of the midline by about five millimetres, the mucocele is soft")
    assert [each.get("size_mm") for each in found(reading)] == [None]
