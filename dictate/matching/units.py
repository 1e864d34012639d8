"""What sizes and durations share: units, "about", and bounds such as "less than"."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from dictate.matching.forms import Forms, Words

Units = Mapping[Words, float]
"""Spoken units, as words, and the millimetres or days in one of each."""

_ABOUT = Forms(
    "about",
    "around",
    "roughly",
    "approximately",
    "approx",
    "circa",
    "some",
    "nearly",
    "almost",
    "like",
    "say",
)
_BOUNDS = Forms(
    "no more than",
    "not more than",
    "no bigger than",
    "no larger than",
    "no less than",
    "less than",
    "more than",
    "greater than",
    "bigger than",
    "larger than",
    "smaller than",
    "longer than",
    "just under",
    "just over",
    "well over",
    "at least",
    "at most",
    "up to",
    "a good",
    "a bare",
    "a scant",
    "barely",
    "under",
    "over",
)


def unit_at(words: Words, index: int, units: Units) -> tuple[float, int] | None:
    """The longest unit that begins at `index`, with the index after it."""
    for length in (3, 2, 1):
        value = units.get(words[index : index + length])
        if value is not None and index + length <= len(words):
            return value, index + length
    return None


def bound(words: Words, index: int) -> tuple[int, tuple[str, ...]]:
    """Skip "about" (a figure is still said) or a bound such as "less than" (it is not)."""
    end = _BOUNDS.end(words, index)
    if end > index:
        return end, (f"“{' '.join(words[index:end])}” gives a bound, not a figure",)
    return _ABOUT.end(words, index), ()


def openings() -> Iterable[str]:
    """Words that "about" and the bounds begin with."""
    return (*_ABOUT.firsts, *_BOUNDS.firsts)
