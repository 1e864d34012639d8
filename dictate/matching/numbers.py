"""Spoken numbers: a closed grammar, never likeness. Fifteen is not nearly fifty."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

# fmt: off
_SMALL = (
    "zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten",
    "eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen",
    "nineteen",
)
_TENS = ("twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety")
# fmt: on
UNITS = {word: value for value, word in enumerate(_SMALL[:10])}
_BELOW_TWENTY = {word: value for value, word in enumerate(_SMALL)}
_BELOW_TWENTY |= {"nought": 0, "naught": 0}
_TEN_WORDS = {word: 10 * (place + 2) for place, word in enumerate(_TENS)} | {"fourty": 40}
_OH = frozenset({"oh", "o"})
_DIGITS = UNITS | {"nought": 0, "naught": 0, "oh": 0, "o": 0}
_PARTS = {
    ("half",): 0.5,
    ("a", "half"): 0.5,
    ("one", "half"): 0.5,
    ("a", "quarter"): 0.25,
    ("quarter",): 0.25,
    ("one", "quarter"): 0.25,
    ("three", "quarters"): 0.75,
}
_COLLECTIVE = {
    ("half", "a", "dozen"): 6.0,
    ("a", "dozen"): 12.0,
    ("a", "pair"): 2.0,
}
NUMBER_WORDS = frozenset(_BELOW_TWENTY) | frozenset(_TEN_WORDS) | {"hundred"}
"""Words that are always (part of) a number."""
NUMBER_STARTS = NUMBER_WORDS | _OH | {"a", "point", "half", "quarter", "couple"}
"""Words that a number may begin with."""
TEEN_TY = {
    word: other
    for teen, ty in zip(_SMALL[13:], _TENS[1:], strict=True)
    for word, other in ((teen, ty), (ty, teen))
}
"""Each -teen word and the -ty word it is heard as, both ways."""


@dataclass(frozen=True, slots=True)
class Number:
    """A number read at a place; `end` is the index after its last word."""

    value: float
    """Always a float, so that it can be asked whether it is whole."""
    end: int
    why: str = ""
    """Why the value is a guess; empty when it is as said."""


def in_words(value: int) -> str:
    """A whole number from 0 to 999 in words. Raises ValueError outside."""
    if not 0 <= value <= 999:
        raise ValueError(f"{value} lies outside 0 to 999")
    hundreds, rest = divmod(value, 100)
    if hundreds:
        return f"{_SMALL[hundreds]} hundred" + (f" and {in_words(rest)}" if rest else "")
    if value < 20:
        return _SMALL[value]
    tens, unit = divmod(value, 10)
    return _TENS[tens - 2] + (f" {_SMALL[unit]}" if unit else "")


def read_number(words: Sequence[str], start: int) -> Number | None:
    """The number that begins at `start`, as long as it goes; None when there is none."""
    vague = _vague(words, start)
    if vague is not None:
        return vague
    part = _part(words, start)
    if part is not None:
        return part
    whole = _whole(words, start)
    point = _decimals(words, whole.end if whole else _skip_oh(words, start))
    if point is not None:
        return Number((whole.value if whole else 0) + point.value, point.end, point.why)
    return _with_part(words, whole) if whole else None


def _at(words: Sequence[str], index: int) -> str:
    return words[index] if 0 <= index < len(words) else ""


def _vague(words: Sequence[str], start: int) -> Number | None:
    for form, value in _COLLECTIVE.items():
        if tuple(words[start : start + len(form)]) == form:
            end = start + len(form)
            return Number(value, end + (_at(words, end) == "of"))
    index = start + (_at(words, start) == "a")
    if _at(words, index) != "couple":
        return None
    end = index + 1 + (_at(words, index + 1) == "of")
    return Number(2.0, end, "“a couple” was taken as two")


def _part(words: Sequence[str], start: int) -> Number | None:
    for size in (2, 1):
        form = tuple(words[start : start + size])
        if form in _PARTS:
            return Number(_PARTS[form], start + len(form))
    return None


def _with_part(words: Sequence[str], whole: Number) -> Number:
    if _at(words, whole.end) == "and":
        part = _part(words, whole.end + 1)
        if part is not None:
            return Number(whole.value + part.value, part.end)
    return whole


def _skip_oh(words: Sequence[str], start: int) -> int:
    return start + (_at(words, start) in _OH)


def _whole(words: Sequence[str], start: int) -> Number | None:
    hundreds = _hundreds(words, start)
    if hundreds is not None:
        return hundreds
    first, last = _at(words, start), _at(words, start + 2)
    if first in UNITS and last in UNITS and _at(words, start + 1) in _OH:
        return Number(100.0 * UNITS[first] + UNITS[last], start + 3)
    return _below_hundred(words, start)


def _hundreds(words: Sequence[str], start: int) -> Number | None:
    first = _at(words, start)
    leading = UNITS.get(first, 1 if first == "a" else 0)
    end = start + (1 if leading else 0)
    if _at(words, end) != "hundred":
        return None
    end += 1
    value = 100.0 * (leading or 1)
    rest = _below_hundred(words, end + (_at(words, end) == "and"))
    return Number(value + rest.value, rest.end) if rest else Number(value, end)


def _below_hundred(words: Sequence[str], start: int) -> Number | None:
    first = _at(words, start)
    if first in _BELOW_TWENTY:
        return Number(float(_BELOW_TWENTY[first]), start + 1)
    if first not in _TEN_WORDS:
        return None
    unit = UNITS.get(_at(words, start + 1), 0)
    return Number(float(_TEN_WORDS[first] + unit), start + (2 if unit else 1))


def _decimals(words: Sequence[str], start: int) -> Number | None:
    if _at(words, start) != "point":
        return None
    digits = ""
    end = start + 1
    while _at(words, end) in _DIGITS:
        digits += str(_DIGITS[words[end]])
        end += 1
    if digits:
        return Number(float(f"0.{digits}"), end)
    rest = _below_hundred(words, end)
    if rest is None:
        return None
    return Number(rest.value / 100, rest.end, "the figures after “point” were said as one number")
