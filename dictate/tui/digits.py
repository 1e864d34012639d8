"""Digits of an identifier as they are spoken: "zero zero seven", "double oh seven", "forty two"."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import dropwhile

from dictate.matching.numbers import read_number

_NOUGHTS = frozenset({"oh", "o", "nought", "naught"})
_LIKE = {"for": 4, "fore": 4, "to": 2, "too": 2, "ate": 8, "won": 1}
"""Words that sound as a digit: taken for it beside a word that can only be one."""
_TIMES = {"double": 2, "triple": 3}
_LEADING = frozenset({"find", "a", "the", "patient", "patients", "number", "identifier", "is"})
_MOST_DIGITS = 12


def identifier_digits(words: Iterable[str]) -> str | None:
    """The digits after words that may stand before them: "patient number zero zero seven"."""
    return spoken_digits(dropwhile(_LEADING.__contains__, words))


def spoken_digits(words: Iterable[str]) -> str | None:
    """The digits that all the words are, at most twelve; None when any word is something else."""
    out, times, tens = "", 1, False
    said = tuple(words)
    certain = any(_value(each) is not None for each in said)
    for word in said:
        if word in _TIMES:
            if times > 1:
                return None
            times = _TIMES[word]
            continue
        value = _LIKE.get(word) if certain and word in _LIKE else _value(word)
        if value is None or (times > 1 and value > 9):
            return None
        joined = tens and 1 <= value <= 9 and times == 1
        out = f"{out[:-1]}{value}" if joined else out + str(value) * times
        tens = not joined and value >= 20 and value % 10 == 0
        times = 1
    return out if out and times == 1 and len(out) <= _MOST_DIGITS else None


def _value(word: str) -> int | None:
    """Of one word that is a number below a hundred."""
    if word in _NOUGHTS:
        return 0
    found = read_number((word,), 0)
    if found is None or found.why or not found.value.is_integer() or not 0 <= found.value < 100:
        return None
    return int(found.value)
