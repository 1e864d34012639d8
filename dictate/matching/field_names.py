"""Where a correction names the field that it is of: "the size to nine", "duration should be"."""

from __future__ import annotations

from collections.abc import Mapping

from dictate.matching.forms import Forms, Words

_LONGEST = 4
_SHOULD = ("should", "be")
_TO = (_SHOULD, ("is", "now"), ("to",), ("is",), ("as",), ("was",))
_POLITE = frozenset({"kindly", "please", "then"})
_PUT = Forms(
    *(f"{verb} to" for verb in ("correct", "amend", "update", "alter", "edit", "modify", "set")),
    *(
        f"{verb} {it} to"
        for verb in ("correct", "change", "update", "set")
        for it in ("it", "that")
    ),
    *("make it", "make that", "put it as", "put it down as", "should read", "should say"),
)
"""What may follow the field ("duration kindly correct to six months").

Not "change to": "colour change to brown" tells of a lesion.
"""


class FieldNames:
    """Finds such names with those of a lexicon."""

    def __init__(self, fields: Mapping[Words, str]) -> None:
        self._fields = fields

    def at(self, words: Words) -> tuple[str | None, int]:
        """The field whose name the words begin with, and how many words its name has."""
        for length in range(_LONGEST, 0, -1):
            name = self._fields.get(words[:length])
            if name is not None:
                return name, min(length, len(words))
        return None, 0

    def named(self, words: Words) -> tuple[str | None, int]:
        """The field that the words begin with, and the index where its value begins."""
        start = 1 if words[:1] == ("the",) else 0
        name, length = self.at(words[start:])
        if name is not None:
            return name, _value_start(words, start + length)
        return None, _value_start(words, start) if words[:1] == ("to",) else 0

    def first(self, words: Words, start: int) -> tuple[str, int] | None:
        """ "The side should be left": the field, and where its value begins."""
        begin = start + (words[start : start + 1] == ("the",))
        for length in range(_LONGEST, 0, -1):
            end = begin + length
            field = self._fields.get(words[begin:end])
            if field is None:
                continue
            if words[end : end + 2] == _SHOULD:
                return field, end + 2
            while words[end : end + 1] and words[end] in _POLITE:
                end += 1
            value = _PUT.end(words, end)
            if end < value < len(words):
                return field, value
        return None


def _value_start(words: Words, index: int) -> int:
    if words[index : index + 1] == ("from",):
        later = [at for at in range(index, len(words)) if words[at] == "to"]
        return later[-1] + 1 if later else index + 1
    for joint in _TO:
        if words[index : index + len(joint)] == joint:
            return index + len(joint)
    return index
