"""Whether words so far call for more: then a pause is not yet the end."""

from __future__ import annotations

# fmt: off
_LEADING_ON = frozenset({
    "a", "about", "an", "and", "approximately", "are", "around", "at", "been", "behind", "below",
    "above", "by", "for", "from", "has", "have", "in", "is", "its", "measuring", "near", "no",
    "nor", "not", "of", "on", "or", "point", "roughly", "since", "some", "the", "to", "very",
    "was", "were", "with", "without",
})
_NUMBERS = frozenset({
    "zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten",
    "eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen",
    "nineteen", "twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety",
    "hundred", "half",
})
# fmt: on


def unfinished(text: str) -> bool:
    """True if the last word hardly ever ends a dictated sentence.

    A preposition waits for its place, a number for its unit. True costs only a longer wait;
    common practice of speech, no source.
    """
    words = text.lower().rstrip(" .,").split()
    return bool(words) and words[-1] in _LEADING_ON | _NUMBERS
