"""Digits as people say them: common practice, no source."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from num2words import num2words

from dictate.tui.digits import identifier_digits, spoken_digits


@pytest.mark.parametrize(
    ("said", "digits"),
    [
        ("zero zero seven", "007"),
        ("double oh seven", "007"),
        ("oh oh seven", "007"),
        ("one four four two", "1442"),
        ("one double four two", "1442"),
        ("triple nine", "999"),
        ("forty two", "42"),
        ("forty two seventeen", "4217"),
        ("nought nine", "09"),
        ("twenty zero", "200"),
        ("seven", "7"),
        ("one for two", "142"),
        ("to too three", "223"),
    ],
)
def test_digits_are_read_as_they_are_said(said: str, digits: str) -> None:
    assert spoken_digits(said.split()) == digits


def test_words_before_an_identifier_are_passed_over() -> None:
    assert identifier_digits(("patient", "number", "zero", "seven")) == "07"
    assert identifier_digits(("the", "zero", "zero", "seven")) == "007"
    assert identifier_digits(("patient",)) is None
    assert identifier_digits(("zero", "patient", "seven")) is None


@pytest.mark.parametrize(
    "said",
    [
        "",
        "double",
        "seven double",
        "double double two",
        "double twelve",
        "white plaque",
        "two mm",
        "to",
        "for to",
    ],
)
def test_what_is_no_row_of_digits_is_none(said: str) -> None:
    assert spoken_digits(said.split()) is None


@given(st.text("0123456789", min_size=1, max_size=12))
def test_every_row_of_digits_comes_back(digits: str) -> None:
    """Spelt out by num2words, a reference for numbers in words."""
    said = [num2words(int(each)) for each in digits]
    assert spoken_digits(said) == digits


@given(st.integers(0, 99))
def test_numbers_below_a_hundred_are_their_digits(number: int) -> None:
    said = num2words(number).replace("-", " ").split()
    assert spoken_digits(said) == str(number)
