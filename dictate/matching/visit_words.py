"""The words of a follow-up visit: what is spoken of, and what became of it."""

from __future__ import annotations

from dataclasses import dataclass

from dictate.matching.forms import Words
from dictate.matching.numbers import read_number
from dictate.matching.units import Units, unit_at
from dictate.vocabulary.normalise import normalise
from dictate.vocabulary.schema import Lexicon

_OPENERS = frozenset({"and", "so", "then", "ok", "okay", "the", "um", "uh", "next"})
_JOINTS = frozenset({"is", "was", "looks", "has", "still", "and"})
_NO_NUMBER = frozenset({"by", "x", "times", "point", "to", "or"})
"""Words after a number that make it a size or a range, not the number of a lesion."""
_HOMOPHONES = {"to": 2, "too": 2, "for": 4, "won": 1, "ate": 8}


@dataclass(frozen=True, slots=True)
class Named:
    """A lesion or finding named by its number, over the words up to `end`."""

    what: str
    """ "lesion" or "finding"."""
    number: int
    end: int
    index: int
    """Of the word that was taken as the number."""
    doubt: str | None = None


class VisitWords:
    """Spoken forms of the vocabulary's visit terms; the longest that stands at a place counts."""

    def __init__(self, lexicon: Lexicon, lengths: Units) -> None:
        self._lengths = lengths
        self._forms: dict[Words, str] = {}
        for term in lexicon.visits:
            for form in term.say:
                self._forms.setdefault(normalise(form, lexicon.spelling), term.value)
        self._longest = max(map(len, self._forms), default=0)

    def at(self, words: Words, start: int) -> tuple[str | None, int]:
        """The term that stands at `start`, and the index after it."""
        for length in range(min(self._longest, len(words) - start), 0, -1):
            value = self._forms.get(words[start : start + length])
            if value is not None:
                return value, start + length
        return None, start

    def named(self, words: Words, start: int = 0) -> Named | None:
        """ "lesion two": a lesion or finding and its number, over opening small words."""
        while start < len(words) and words[start] in _OPENERS:
            start += 1
        what, index = self.at(words, start)
        if what not in ("lesion", "finding"):
            return None
        said = words[index - 1] == "number"
        number = self._number(words, index)
        if number is None:
            return None
        value, end, doubt = number
        if not said and self._is_size(words, end):
            return None
        return Named(what, value, end, index, doubt)

    def past_joints(self, words: Words, start: int) -> int:
        """The index after "is", "looks" and the like, where no term begins with them."""
        while start < len(words) and words[start] in _JOINTS and not self.at(words, start)[0]:
            start += 1
        return start

    def _number(self, words: Words, index: int) -> tuple[int, int, str | None] | None:
        number = read_number(words, index)
        if number is not None and number.value.is_integer():
            return int(number.value), number.end, number.why or None
        word = words[index] if index < len(words) else ""
        if word in _HOMOPHONES and self.at(words, self.past_joints(words, index + 1))[0]:
            value = _HOMOPHONES[word]
            return value, index + 1, f"“{word}” was taken as the number {value}"
        return None

    def _is_size(self, words: Words, end: int) -> bool:
        following = words[end] if end < len(words) else ""
        return following in _NO_NUMBER or unit_at(words, end, self._lengths) is not None
