"""How the model may write a word of the vocabulary: digits, symbols, American spelling."""

from __future__ import annotations

import re
from collections.abc import Iterable

from dictate.vocabulary.schema import Spelling

# fmt: off
UNITS = (
    "zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten",
    "eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen",
    "nineteen",
)
TENS = ("twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety")
# fmt: on
NUMBER_WORDS = (*UNITS, *TENS, "hundred", "point", "half", "quarter")
_SYMBOLS = {
    "mm": ("millimetres",),
    "cm": ("centimetres",),
    "x": ("by",),
    "%": ("percent",),
}
LARGEST = 199
"""The largest number that the model may write in digits."""


def spellings(words: Iterable[str], spelling: Spelling) -> dict[str, tuple[str, ...]]:
    """Every way the model may write the words -> the words that each way stands for.

    Words are British; added are American spellings, contractions, and in digits whole
    numbers from 0 to 199 and tenths below 100.
    """
    known = frozenset(words)
    written = _numbers() | _SYMBOLS
    written |= {us: (uk,) for us, uk in spelling.american.items()}
    written |= {short: tuple(said.split()) for short, said in spelling.contractions.items()}
    written |= {word: (word,) for word in known}
    return {way: meant for way, meant in written.items() if known.issuperset(meant)}


def in_words(number: int) -> tuple[str, ...]:
    """0 to 199 as spoken: "twenty one", "one hundred and five"."""
    if number < 20:
        return (UNITS[number],)
    if number < 100:
        unit = (UNITS[number % 10],) if number % 10 else ()
        return (TENS[number // 10 - 2], *unit)
    rest = ("and", *in_words(number - 100)) if number > 100 else ()
    return ("one", "hundred", *rest)


def spoken_letters(text: str) -> int:
    """How many letters a text has once its digits and units are spelt out."""
    return len(letters_of(text))


def letters_of(text: str) -> str:
    """The letters of a text, digits and units spelt out, without spaces and punctuation."""
    letters: list[str] = []
    for part in re.findall(r"[a-z]+|\d+", text.lower()):
        if part.isdigit():
            said = in_words(int(part)) if int(part) <= LARGEST else [UNITS[int(d)] for d in part]
            letters += said
        else:
            letters += _SYMBOLS.get(part, (part,))
    return "".join(letters)


def _numbers() -> dict[str, tuple[str, ...]]:
    whole = {str(number): in_words(number) for number in range(LARGEST + 1)}
    tenths = {
        f"{number}.{tenth}": (*in_words(number), "point", UNITS[tenth])
        for number in range(100)
        for tenth in range(1, 10)
    }
    return whole | tenths
