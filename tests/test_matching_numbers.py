"""Spoken numbers against num2words, a general reference library of number words."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from num2words import num2words

from dictate.matching.numbers import in_words, read_number
from dictate.matching.text import normalise


def read(text: str) -> tuple[float, bool] | None:
    """Value of the number a text begins with, and whether it is the whole text."""
    words = normalise(text)
    number = read_number(words, 0)
    return None if number is None else (number.value, number.end == len(words))


@pytest.mark.parametrize("value", range(200))
def test_every_whole_number_to_199_reads_back_as_num2words_says_it(value: int) -> None:
    assert read(num2words(value)) == (value, True)
    assert read(str(value)) == (value, True)


@pytest.mark.parametrize("tenths", range(1, 1000, 7))
def test_decimals_read_back_as_num2words_says_them(tenths: int) -> None:
    value = tenths / 10
    assert read(num2words(value)) == (pytest.approx(value), True)
    assert read(f"{value}") == (pytest.approx(value), True)


@given(st.integers(0, 999))
@settings(max_examples=200, deadline=None)
def test_words_for_a_number_read_back(value: int) -> None:
    assert read(in_words(value)) == (value, True)


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("half", 0.5),
        ("a half", 0.5),
        ("one and a half", 1.5),
        ("two and a quarter", 2.25),
        ("three quarters", 0.75),
        ("point five", 0.5),
        ("oh point five", 0.5),
        ("nought point five", 0.5),
        ("one point two five", 1.25),
        ("one oh five", 105),
        ("a hundred and twenty", 120),
        ("twenty-five", 25),
        ("½", 0.5),
    ],
)
def test_ways_of_saying_a_number(text: str, value: float) -> None:
    assert read(text) == (value, True)


@pytest.mark.parametrize("text", ["oh", "point", "and", "a", "for", "to", "ulcer", ""])
def test_what_is_no_number(text: str) -> None:
    assert read(text) is None


def test_two_numbers_in_a_row_are_not_joined() -> None:
    assert read("one five") == (1, False)
    assert read("thirty forty") == (30, False)


def test_a_couple_is_a_guess() -> None:
    number = read_number(("a", "couple", "of", "weeks"), 0)
    assert number is not None
    assert (number.value, number.end) == (2, 3)
    assert "couple" in number.why


def test_numbers_outside_the_range_are_refused() -> None:
    with pytest.raises(ValueError, match="0 to 999"):
        in_words(1000)
