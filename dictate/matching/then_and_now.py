"""Two sizes of one lesion: what it was, and what it is now ("was six, now nine")."""

from __future__ import annotations

from dictate.matching.forms import Forms
from dictate.matching.negation import Sentence
from dictate.matching.spots import Spot

_NOW = Forms(
    "now", "is now", "now is", "it is now", "today", "today it is", "currently", "now about"
)
_THEN = Forms(
    "was",
    "were",
    "had been",
    "used to be",
    "previously",
    "formerly",
    "initially",
    "originally",
    "it was",
    "was about",
    "was previously",
    "previously was",
)
_THEN_AFTER = Forms(
    "last time", "last visit", "at the last visit", "last month", "last week", "last year", "before"
)
_NOW_AFTER = Forms("now", "today", "currently")
_LONGEST = 4


def of_now(sentence: Sentence, spot: Spot) -> bool:
    """True if the size is said to be that of today."""
    return _before(sentence, spot, _NOW) or _right_after(sentence, spot, _NOW_AFTER)


def of_then(sentence: Sentence, spot: Spot) -> bool:
    """True if the size is said to be that of an earlier time."""
    return _before(sentence, spot, _THEN) or _right_after(sentence, spot, _THEN_AFTER)


def then_and_now(sentence: Sentence) -> bool:
    """True if a size of an earlier time and one of today are said."""
    sized = [spot for spot in sentence.spots if spot.size is not None]
    if len(sized) < 2:
        return False
    return any(of_then(sentence, s) for s in sized) and any(of_now(sentence, s) for s in sized)


def _before(sentence: Sentence, spot: Spot, forms: Forms) -> bool:
    starts = range(max(0, spot.start - _LONGEST), spot.start)
    return any(forms.end(sentence.words, at) == spot.start for at in starts)


def _right_after(sentence: Sentence, spot: Spot, forms: Forms) -> bool:
    if spot.end in sentence.pauses:
        return False
    end = forms.end(sentence.words, spot.end)
    return end > spot.end and (end == len(sentence.words) or end in sentence.pauses)
