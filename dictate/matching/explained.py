"""Corrections in several parts: "the colour is wrong, it should be brown", "fix the size. Nine".

What is asked to be corrected, what was wrong, and what it should be may each stand in a part of
its own, among reasons and courtesy. All that the parts say of a finding must fit the finding in
hand as it was or as it will be; else the whole is put aside: it must never become a finding.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from dictate.exam.finding import FieldValue, FindingFields
from dictate.matching.commands import CORRECT, POLITE, Commands, Spoken
from dictate.matching.contrasts import Contrasts, held
from dictate.matching.forms import Forms, Words
from dictate.matching.hearing import Hearing
from dictate.matching.parts import Part, parts_of
from dictate.matching.politeness import opened, without_tail
from dictate.matching.text import Token, words_of

Tokens = tuple[Token, ...]
Unclear = Literal["unclear"]
_IT = ("it", "that", "this")
_PLAIN = ("correct", "change", "amend", "alter", "edit", "modify", "update", "fix", "adjust")
_MOVED = ("switch", "swap", "flip")
_VERBS = Forms(*_PLAIN, *_MOVED)
_BARE = Forms(
    *(
        f"{verb} {what}"
        for verb in (*_PLAIN, *_MOVED)
        for what in (*_IT, "that one", "this one", "that last one", "the last one", "my last one")
    )
)
_AROUND = frozenset({"up", "over", "around", "round", "then", "there", "too"})
_JOINTS = Forms("to", "for", "into", "to be", "to read", "as", "so it is", "so it says")
_MADE = Forms("make it", "make that", "it should be", "that should be")
_PUT = Forms(*(f"put {what} {how}" for what in _IT for how in ("as", "down as", "in as")))
_OF_IT = frozenset({"on", "of", "for", "there", "in", "here", "one", *_IT})
_WRONG = Forms(
    *("wrong", "incorrect", "mistaken", "mixed up", "muddled up", "the wrong way round"),
    *("not right", "not correct", "to be corrected", "to be changed", "off", "a mistake"),
)
_IS = frozenset({"is", "was", "are", "were"})
_LEADS = Forms(
    *("put", "make it", "make that", "say", "it is", "that is", "it should be", "should be", "to"),
    *("that should have been", "it should have been", "should have been", "call that"),
    *("that should be", "they should be", "it was", "they are", "put it as", "put down", "call it"),
)
_SHOULD = ("should", "be")
_AGAINST = frozenset({"not", "instead", "rather", "by", "in"})


@dataclass(frozen=True, slots=True)
class _Order:
    """A part that asks for a correction, or says what was wrong."""

    part: Part
    field: str | None = None
    value: int | None = None
    """Where the new value begins, if it stands in this part."""
    sure: bool = True
    """False where the words may be about something else in the room, or only tell of a mistake."""


class Explained:
    """Finds such corrections with the phrases of a lexicon."""

    def __init__(self, hearing: Hearing, commands: Commands, contrasts: Contrasts) -> None:
        self._hearing = hearing
        self._commands = commands
        self._contrasts = contrasts

    def spoken(self, tokens: Tokens, last: FindingFields) -> Spoken | Unclear | None:
        """The new value; "unclear" for a correction not understood; None for anything else."""
        words = words_of(tokens)
        parts = list(parts_of(tokens))
        found = {part: self._order(words, part) for part in parts}
        orders = [each for each in found.values() if each is not None]
        if not orders:
            return self._made(tokens, parts)
        rest = [part for part, order in found.items() if order is None]
        valued = [each for each in orders if each.value is not None]
        spoken = self._valued(tokens, valued, rest) if valued else None
        spoken = spoken or self._told(tokens, orders, rest, last)
        if spoken is None or not self._fits(tokens, spoken, rest, last):
            return "unclear"
        return spoken

    def _made(self, tokens: Tokens, parts: list[Part]) -> Spoken | None:
        """ "Make that nine millimetres, please, I misread the probe": the rest says no value."""
        words = words_of(tokens)
        for part in parts:
            start, asked = opened(words[: part.end], part.start, POLITE)
            begin = _MADE.end(words, start)
            others = [each for each in parts if each != part]
            if asked or not start < begin < part.end:
                continue
            if not any(self._values(tokens[each.start : each.end]) for each in others):
                return Spoken(CORRECT, "field", words[begin : part.end], begin, part.end)
        return None

    # what asks for it

    def _order(self, words: Words, part: Part) -> _Order | None:
        start, asked = opened(words[: part.end], part.start, POLITE)
        end = part.start + len(without_tail(words[part.start : part.end], POLITE))
        put = _PUT.end(words, start)
        if start < put < end:
            return _Order(part, value=put)
        verb = _VERBS.end(words, start)
        if start < verb == end and (
            words[start] != "correct" or "please" in words[part.start : part.end]
        ):
            return _Order(part)
        if verb > start:
            return self._asked(words, part, (start, end), asked=asked)
        field = self._wrong(words[start:end])
        return _Order(part, field, sure=False) if field is not None else None

    def _asked(
        self, words: Words, part: Part, span: tuple[int, int], *, asked: bool
    ) -> _Order | None:
        """ "Change that to ...", "fix the size", "swap that over"."""
        start, end = span
        sure = not asked and words[start] not in _MOVED
        bare = _BARE.end(words, start)
        if bare > start:
            while bare < end and words[bare] in _AROUND:
                bare += 1
            if bare >= end:
                return _Order(part)
            joint = max(_JOINTS.end(words, bare), bare)
            if words[bare] == "from" or joint > bare:
                return _Order(part, value=bare, sure=sure or words[bare] == "from")
            return None
        field, index = self._commands.names.named(words[start + 1 : end])
        if field is not None:
            begin = start + 1 + index
            told = not set(words[begin:end]) <= _OF_IT
            return _Order(part, field, begin if told else None)
        field, index = self._commands.restated(self._hearing.words_read(words[start + 1 : end]))
        return _Order(part, value=start + 1 + index) if field is not None else None

    def _wrong(self, words: Words) -> str | None:
        """The field that a part says was wrong ("the wrong side", "the borders are wrong")."""
        for at in range(len(words)):
            name, length = self._commands.names.at(words[at:])
            if name is None:
                name, length = ("side", 1) if words[at] == "sides" else (None, 0)
            if name is None:
                continue
            after = at + length
            after += after < len(words) and words[after] in _IS
            if words[at - 1 : at] == ("wrong",) or after < _WRONG.end(words, after) == len(words):
                return name
        return None

    # what it should be

    def _valued(self, tokens: Tokens, valued: list[_Order], rest: list[Part]) -> Spoken | None:
        """The value beside the verb, with the "not two" that may follow in parts of their own."""
        order = valued[-1]
        assert order.value is not None
        words = words_of(tokens)
        end = order.part.end
        for part in rest:
            if part.start == end and words[part.start] in _AGAINST:
                end = part.end
        span = words[order.value : end]
        agreed = any(self._repeats(tokens, order, part) for part in rest)
        asked = not (order.sure or agreed)
        return Spoken(CORRECT, "field", span, order.value, end, asked, order.field)

    def _repeats(self, tokens: Tokens, order: _Order, part: Part) -> bool:
        """True if a part by itself says the very value that the order does."""
        mine = self._values(tokens[order.value : order.part.end])
        return bool(mine) and mine.items() <= self._values(tokens[part.start : part.end]).items()

    def _told(
        self, tokens: Tokens, orders: list[_Order], rest: list[Part], last: FindingFields
    ) -> Spoken | None:
        """The value in the parts that ask for nothing."""
        words = words_of(tokens)
        rest = [p for p in rest if opened(words[: p.end], p.start, POLITE)[0] < p.end]
        field = next((each.field for each in orders if each.field is not None), None)
        for begin, end in _runs(rest):
            contrast = self._contrasts.spoken(tokens[begin:end], last)
            if contrast is not None and contrast.end is not None:
                start, stop = begin + contrast.skipped, begin + contrast.end
                return Spoken(CORRECT, "field", words[start:stop], start, stop)
            start, _ = opened(words[:end], begin, POLITE)
            start = _LEADS.end(words, start)
            values = self._values(tokens[start:end])
            if field is not None and field in values:
                asked = words[start - 2 : start] != _SHOULD and not any(o.sure for o in orders)
                return Spoken(CORRECT, "field", words[start:end], start, end, asked, field)
            before = [held(last, name) for name in values]
            if field is None and len(values) == 1 and before[0] not in (None, []):
                return Spoken(CORRECT, "field", words[start:end], start, end, asked=True)
        return None

    # whether all of it fits

    def _fits(self, tokens: Tokens, spoken: Spoken, rest: list[Part], last: FindingFields) -> bool:
        """False if any other part says of a finding what this one neither was nor will be."""
        new = self._values(tokens[spoken.skipped : spoken.end])
        if not new:
            return False
        for part in rest:
            if spoken.skipped <= part.start < (spoken.end or 0):
                continue
            for name, value in self._values(tokens[part.start : part.end]).items():
                if value != new.get(name) and not _within(value, held(last, name)):
                    return False
        return True

    def _values(self, tokens: Tokens) -> dict[str, FieldValue]:
        sentence = self._hearing.sentence(tokens)
        changes, _ = self._commands.changes(sentence, None)
        return {each.field: each.value for each in changes}


def _within(value: FieldValue, before: FieldValue) -> bool:
    if isinstance(value, list) and isinstance(before, list):
        return all(each in before for each in value)
    return value == before


def _runs(parts: Sequence[Part]) -> Iterator[Part]:
    """The longest runs of parts that follow each other, and each part for itself."""
    joined: list[Part] = []
    for part in parts:
        if joined and joined[-1].end == part.start:
            joined[-1] = Part(joined[-1].start, part.end)
        else:
            joined.append(part)
    yield from joined
    yield from (part for part in parts if part not in joined)
