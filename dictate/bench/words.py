"""Words as they are compared: one spelling, numbers in words, no punctuation."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence

import jiwer
from num2words import num2words  # type: ignore[import-untyped]

from dictate.vocabulary.schema import Spelling

_UNITS = {"mm": "millimetres", "cm": "centimetres", "x": "by", "×": "by"}


def plain(text: str, spelling: Spelling) -> str:
    """`text` in lower case, numbers spelt out, one spelling, no punctuation.

    >>> plain("Left-sided, 14mm by 1.5 cm.", Spelling())
    'left sided fourteen millimetres by one point five centimetres'
    """
    text = re.sub(r"(?<=\d)(?=[a-z])|(?<=[a-z])(?=\d)", " ", text.lower())
    text = re.sub(r"\d+(?:\.\d+)?", lambda m: f" {_number(m.group())} ", text)
    words = re.sub(r"[^a-z' ]+", " ", text.replace("’", "'")).split()
    folded = (spelling.contractions.get(w, w) for w in words)
    return " ".join(
        spelling.fold(_UNITS.get(w, w)) for each in folded for w in each.strip("'").split()
    )


def word_error_rate(pairs: Sequence[tuple[str, str]]) -> float | None:
    """Errors over reference words of all (reference, heard) pairs, already plain; None if none."""
    kept = [(reference, got) for reference, got in pairs if reference]
    if not kept:
        return None
    measure: Callable[..., float] = jiwer.wer
    return float(measure([r for r, _ in kept], [h for _, h in kept]))


def _number(digits: str) -> str:
    value = float(digits) if "." in digits else int(digits)
    if isinstance(value, int) and value > 10**9:
        return " ".join(num2words(int(each)) for each in digits)
    return str(num2words(value)).replace("-", " ").replace(",", "")
