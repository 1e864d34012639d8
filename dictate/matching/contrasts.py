"""Corrections without a command: "white, not red", "no, nine millimetres", "left, I should say".

They count only beside a finding in hand that says otherwise. Where the old value is named and is
the one recorded, or the new one was "meant", it takes the other's place; where the old one is only
said "no" or "sorry" to, the change is asked about.
"""

from __future__ import annotations

from collections.abc import Iterator

from dictate.exam.finding import FieldValue, FindingFields
from dictate.matching.commands import CORRECT, POLITE, Commands, Spoken
from dictate.matching.forms import Forms, Words
from dictate.matching.hearing import Hearing
from dictate.matching.offtalk import why_off_talk
from dictate.matching.politeness import without_tail
from dictate.matching.text import Token, words_of

Tokens = tuple[Token, ...]
Values = dict[str, FieldValue]
_Span = tuple[int, int]
_NO = Forms("no", "no no")
_REFUSING = Forms(
    *("sorry", "my mistake", "i misspoke", "oops", "whoops", "i beg your pardon", "no sorry"),
    *("sorry no", "wait no", "no wait", "actually no", "no actually"),
    *(f"wrong {what}" for what in ("side", "size", "site", "place", "level", "colour", "kind")),
)
_WAITING = Forms("wait", "actually", "hang on")
_LEADS = Forms(
    *("it is", "that is", "this is", "it was", "that was", "it should be", "that should be"),
    *("it should have been", "that should have been"),
    *("it is actually", "that is actually", "actually it is", "the side is", "side is"),
    *(
        f"{who} has had {what}"
        for who in ("she", "he", "patient")
        for what in ("it", "this", "that")
    ),
    *("it has been", "it has been there", "it has been there for", "it has been present for"),
)
_TAILS = Forms("i should say", "i should have said", "i meant", "i mean", "i meant to say")
_AGAINST = Forms(
    *("not", "and not", "but not", "rather than", "instead of", "in place of", "instead of just"),
)
_WRONG = Forms("was wrong", "is wrong", "is not right", "was not right")
_CANCELLING = Forms("scrub", "scratch", "strike", "did i say", "i keep saying", "the chart says")
_IT_IS = Forms("it is", "it should be", "it is actually", "i meant", "i mean")
_POINTING_BACK = (
    *(("than", "i", "said"), ("than", "i", "thought"), ("from", "what", "i", "said")),
    *(("the", "other", "side"), ("the", "opposite", "side"), ("the", "wrong", "side")),
)
_SO = Forms("so", "so the", "so it is", "so it is the", "so that makes it", "so that makes it the")
_SIDE_WORDS = frozenset(
    {"left", "right", "the", "on", "side", "hand", "patients", "midline", "both", "sides"}
)
_SMALL = POLITE | {"instead"}
_PLACE = frozenset({"region", "subsite", "side"})
_NOT_DENIED = _PLACE | {"size_mm", "duration_days"}
"""What a bare "no" cannot deny: "no induration" takes nothing back."""
_FIELDS = _NOT_DENIED | {
    *("kind", "node_level", "mobility", "tender", "colours", "surface", "borders", "consistency")
}
_LONGEST = 16
"""Words of a correction and no more."""


class Contrasts:
    """Finds such corrections with the phrases of a lexicon."""

    def __init__(self, hearing: Hearing, commands: Commands) -> None:
        self._hearing = hearing
        self._commands = commands

    def spoken(self, tokens: Tokens, last: FindingFields) -> Spoken | None:
        """The new value of a correction of the finding in hand; None for anything else."""
        words = words_of(tokens)
        if len(words) > _LONGEST:
            return None
        start, openings = _opened(words)
        end = start + len(without_tail(words[start:], _SMALL))
        meant = _meant(words, start, end)
        if meant is not None:
            return _at(words, meant) if self._differs(tokens, meant, last) else None
        lead = _LEADS.end(words, start)
        if "actually" in words[start:lead]:
            openings |= {_WAITING}
        for old, new in _contrasted(words, start, end):
            led = new[0] > start and openings <= {_WAITING}
            if self._replaces(tokens, old, new, last, led=led):
                return _at(words, new)
        if openings and self._taken_back(tokens, (lead, end), last, openings, led=lead > start):
            return _at(words, (lead, end), asked=True)
        return None

    def new_until(self, tokens: Tokens) -> int:
        """Where a new value ends: before the "not two" of "three weeks, not two"."""
        words = words_of(tokens)
        for old, new in _contrasted(words, 0, len(words)):
            values = self._values(tokens, new)
            known = len(values) == 1 and new[0] == 0
            if known and any(set(each) == set(values) for each in self._olds(tokens, old, new)):
                return new[1]
        return len(tokens)

    def _values(self, tokens: Tokens, span: _Span, more: Tokens = ()) -> Values:
        """What the words say of a finding, {} if they say anything else too."""
        sentence = self._hearing.sentence(tokens[slice(*span)] + more)
        changes, draft = self._commands.changes(sentence, None)
        likely = any(spot.likely is not None for spot in sentence.spots)
        if likely or draft.unknown or draft.notes or why_off_talk(sentence):
            return {}
        values = {each.field: each.value for each in changes}
        if not set(values) <= _FIELDS:
            return {}
        if set(values) == {"side"} and not set(sentence.words) <= _SIDE_WORDS:
            return {}  # "To the left" is where somebody is to turn.
        return values

    def _olds(self, tokens: Tokens, old: _Span, new: _Span) -> Iterator[Values]:
        """What the old value may be, with what only the new one says ("three weeks, not two")."""
        first, final = tokens[new[0] : new[0] + 1], tokens[new[1] - 1 : new[1]]
        yield self._values(tokens, old)
        yield self._values(tokens, old, final)
        yield self._values(first + tokens[slice(*old)], (0, old[1] - old[0] + 1))

    def _replaces(
        self, tokens: Tokens, old: _Span, new: _Span, last: FindingFields, *, led: bool
    ) -> bool:
        """True if the old value is what is recorded, and the new one another of its field."""
        values = self._values(tokens, new)
        changed = _changed(values, last)
        if not changed or (led and set(values) == {"side"}):
            return False
        return any(
            set(before) & changed and same(before, last) for before in self._olds(tokens, old, new)
        )

    def _differs(self, tokens: Tokens, span: _Span, last: FindingFields) -> bool:
        """True if the finding in hand says something else in the very field."""
        changed = _changed(self._values(tokens, span), last)
        return any(held(last, name) not in (None, []) for name in changed)

    def _taken_back(
        self, tokens: Tokens, span: _Span, last: FindingFields, openings: set[Forms], *, led: bool
    ) -> bool:
        """True for another value of one field; a lesion or a place may be the next finding's."""
        if not self._differs(tokens, span, last):
            return False
        _, draft = self._commands.changes(self._hearing.sentence(tokens[slice(*span)]), None)
        if any(name == "size_mm" for name, _ in draft.doubts):
            return False  # "No, twelve" may count anything.
        fields = _changed(self._values(tokens, span), last)
        if "kind" in fields:
            return led
        if openings <= {_WAITING}:
            return not fields & {"region", "subsite"}
        return _REFUSING in openings or fields <= _NOT_DENIED


def _at(words: Words, span: _Span, *, asked: bool = False) -> Spoken:
    start, end = span
    return Spoken(CORRECT, "field", words[start:end], start, end, asked)


def _opened(words: Words) -> tuple[int, set[Forms]]:
    """Where the words begin after "no", "sorry", "wait" and the like, and which of them came."""
    start: int = 0
    found: set[Forms] = set()
    while start < len(words):
        ends = {forms: forms.end(words, start) for forms in (_NO, _REFUSING, _WAITING)}
        end = max(*ends.values(), start + (words[start] in POLITE))
        if end == start or _LEADS.end(words, start) > end:
            break
        found |= {forms for forms, at in ends.items() if at == end and words[end - 1] not in POLITE}
        start = end
    return start, found


def _meant(words: Words, start: int, end: int) -> _Span | None:
    """The new value of "I said right, I meant left" and of "left, I should say"."""
    for at in range(start + 1, end):
        if _TAILS.end(words, at) == end:
            return _LEADS.end(words, start), at
        if words[start : start + 2] == ("i", "said") and words[at : at + 2] == ("i", "meant"):
            return at + 2, end
    return _cancelled(words, start, end) or _pointed_back(words, start, end)


def _cancelled(words: Words, start: int, end: int) -> _Span | None:
    """The new value of "did I say right, it's left" and of "scrub the left, it's midline"."""
    begin = _CANCELLING.end(words, start)
    for at in range(begin + 1, end) if begin > start else ():
        after = _IT_IS.end(words, at)
        if at < after < end and set(words[begin:at]) <= _SIDE_WORDS | {"that"}:
            return after, end
    return None


def _pointed_back(words: Words, start: int, end: int) -> _Span | None:
    """ "On the other side from what I said, so the left": that is where it is."""
    for at in range(start, end):
        ends = [at + len(run) for run in _POINTING_BACK if words[at : at + len(run)] == run]
        for after in range(max(ends), end) if ends else ():
            so = _SO.end(words, after)
            if after < so < end:
                return so, end
        if ends and words[at] == "than" and max(ends) < end:
            return max(ends), end
    return None


def _contrasted(words: Words, start: int, end: int) -> Iterator[tuple[_Span, _Span]]:
    """Where the old value and the new one stand, in every way that they may."""
    lead = _LEADS.end(words, start)
    for at in range(start + 1, end):
        after = _AGAINST.end(words, at)
        if at < after < end and lead < at:
            yield (after, end), (lead, at)
        after = _WRONG.end(words, at)
        if at < after < end:
            yield (start, at), (_LEADS.end(words, after), end)
        if words[start] == "not" and at > start + 1:
            begin = _LEADS.end(words, at + (words[at] == "but"))
            yield (start + 1, at), (begin, end)


def _changed(values: Values, last: FindingFields) -> set[str]:
    """The one field, or the place, that would change; none where more is said."""
    changed = {name for name, value in values.items() if held(last, name) != value}
    return changed if len(changed) == 1 or changed <= _PLACE else set()


def held(last: FindingFields, name: str) -> FieldValue:
    """What the finding says in a field, as commands say it."""
    value = getattr(last, name)
    return list(value) if isinstance(value, tuple) else value


def same(values: Values, last: FindingFields) -> bool:
    """True if the finding says all of these values."""
    return all(held(last, name) == value for name, value in values.items())
