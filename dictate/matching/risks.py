"""The risk history, spoken: "smokes twenty a day", "never smoked", "chews betel".

The answer is told by the longest phrase; the words themselves are kept, amounts and all.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from dictate.exam.commands import NoteRisk
from dictate.exam.risks import ANSWERS, RiskAnswer
from dictate.matching.forms import Words
from dictate.matching.grammar import NEGATING
from dictate.matching.negation import Sentence
from dictate.matching.text import Token, words_of
from dictate.vocabulary.normalise import normalise
from dictate.vocabulary.schema import Lexicon, Slot

_JOINTS = frozenset({"and", "or", "nor", "but", "also", "plus"})
_LISTING = frozenset({"and", "or", "nor"})
_VERBS = frozenset({"smokes", "drinks", "chews", "uses", "vapes", "works", "is", "had", "has"})
"""First words of forms that stand for themselves: a "no" before "and" does not reach them."""
_FINDING = frozenset({Slot.KIND, Slot.COLOUR, Slot.SURFACE, Slot.BORDER, Slot.NORMAL_VARIANT})
"""Slots that make an utterance a finding: it is not taken for history."""
_NEAR = 3
"""How many words before a "yes" phrase a "no" may turn it round, or say that it is of another."""
_OTHERS = frozenset(
    {
        *("family", "familial", "relative", "relatives", "parent", "parents", "partner"),
        *("mother", "father", "brother", "sister", "husband", "wife", "son", "daughter"),
        *("uncle", "aunt", "grandfather", "grandmother", "cousin", "spouse"),
    }
)
"""Whose history is not the patient's."""


@dataclass(frozen=True, slots=True)
class _Hit:
    factor: str
    answer: RiskAnswer
    start: int
    end: int
    doubt: str | None = None


class Risks:
    """Reads the risk history with the phrases of a lexicon. Holds no state."""

    def __init__(self, lexicon: Lexicon) -> None:
        self._forms: dict[Words, tuple[str, RiskAnswer]] = {}
        for risk in lexicon.risks:
            for answer in ANSWERS:
                for form in getattr(risk, answer):
                    words = normalise(form, lexicon.spelling)
                    self._forms.setdefault(words, (risk.value, answer))
        self._longest = max(map(len, self._forms), default=0)

    def mentioned(self, tokens: tuple[Token, ...]) -> bool:
        """True if one of its phrases is among the words."""
        return next(self._hits(words_of(tokens)), None) is not None

    def read(self, tokens: tuple[Token, ...], sentence: Sentence) -> tuple[NoteRisk, ...]:
        """The lines of history that the utterance tells; none if it is about something else.

        `sentence`: the same words as findings are read from them.
        """
        words = words_of(tokens)
        hits = list(self._hits(words))
        if not hits or _is_finding(sentence, hits):
            return ()
        hits = list(_listed(words, hits))
        ends = [*(hit.start for hit in hits[1:]), len(words)]
        starts = [0, *(_cut(words, hit) for hit in hits[1:])]
        return tuple(
            self._noted(words, hit, start, _cut_end(words, end))
            for hit, start, end in _merged(hits, starts, ends)
        )

    def _hits(self, words: Words) -> Iterator[_Hit]:
        index = 0
        while index < len(words):
            hit = self._at(words, index)
            if hit is None:
                index += 1
                continue
            if not _OTHERS.intersection(words[max(0, index - _NEAR) : index]):
                yield hit
            index = hit.end

    def _at(self, words: Words, start: int) -> _Hit | None:
        for length in range(min(self._longest, len(words) - start), 0, -1):
            found = self._forms.get(words[start : start + length])
            if found is not None:
                return _Hit(found[0], found[1], start, start + length)
        return None

    def _noted(self, words: Words, hit: _Hit, start: int, end: int) -> NoteRisk:
        answer, doubt = hit.answer, hit.doubt
        before = words[max(start, hit.start - _NEAR) : hit.start]
        if answer == "yes" and NEGATING.intersection(before):
            answer, doubt = "no", f"“{' '.join(words[start : hit.end])}” was taken as no"
        said = " ".join(words[start:end])
        return NoteRisk(factor=hit.factor, answer=answer, words=said, doubt=doubt)


def _listed(words: Words, hits: Iterable[_Hit]) -> Iterator[_Hit]:
    """ "Denies smoking and alcohol": the "no" of a list reaches its later members."""
    before: _Hit | None = None
    for hit in hits:
        between = set(words[before.end : hit.start]) if before else set()
        reached = before is not None and before.answer == "no" and between <= _LISTING
        if reached and between and hit.answer == "yes" and words[hit.start] not in _VERBS:
            said = " ".join(words[hit.start : hit.end])
            hit = replace(hit, answer="no", doubt=f"the “no” was taken to reach “{said}”")
        yield hit
        before = hit


def _merged(
    hits: Iterable[_Hit], starts: Iterable[int], ends: Iterable[int]
) -> Iterator[tuple[_Hit, int, int]]:
    """Phrases of one factor with one answer that follow each other are one line."""
    open_: tuple[_Hit, int, int] | None = None
    for hit, start, end in zip(hits, starts, ends, strict=True):
        if open_ and (open_[0].factor, open_[0].answer) == (hit.factor, hit.answer):
            open_ = (open_[0], open_[1], end)
            continue
        if open_:
            yield open_
        open_ = (hit, start, end)
    if open_:
        yield open_


def _is_finding(sentence: Sentence, hits: Iterable[_Hit]) -> bool:
    """True if something outside the phrases themselves describes a lesion or measures one."""
    inside = {index for hit in hits for index in range(hit.start, hit.end)}
    for spot in sentence.spots:
        if not inside.isdisjoint(range(spot.start, spot.end)):
            continue
        if spot.has(*_FINDING) or (spot.size is not None and spot.size.unit_said):
            return True
    return False


def _cut(words: Words, hit: _Hit) -> int:
    """Where the words of a later line begin: a "no" right before it belongs to it."""
    start = hit.start
    while start > 0 and words[start - 1] in NEGATING:
        start -= 1
    return start


def _cut_end(words: Words, end: int) -> int:
    """Where the words of a line end, without the "and" or "no" that leads to the next."""
    while end > 0 and end < len(words) and words[end - 1] in _JOINTS | NEGATING:
        end -= 1
    return end
