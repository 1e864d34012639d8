"""Doubts that come from how an utterance was heard, not from what it says.

Typed text has no such doubts. For heard words: low confidence in a word that a critical field
rests on, words with a known sound-alike, other readings of the same sound that place or
measure the finding differently, and what was heard without the vocabulary's help.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from dictate.exam.commands import ChangeField, MarkRegion
from dictate.exam.finding import FieldValue
from dictate.matching import thresholds
from dictate.matching.draft import Draft
from dictate.matching.grammar import FUNCTION
from dictate.matching.numbers import TEEN_TY, read_number
from dictate.matching.outcome import Outcome
from dictate.matching.text import Token, normalise
from dictate.speech.heard import Utterance
from dictate.vocabulary.schema import Lexicon, Slot

_WATCHED = ("region", "subsite", "side", "size_mm", "node_level")
_CRITICAL = (*_WATCHED, "kind", "count", "duration_days")
_SMALL = FUNCTION - {"by"}
_SIDES = ("left", "right")


def was_heard(utterance: Utterance) -> bool:
    """False for typed text: every word certain, no length in time, no other reading."""
    return (
        len(utterance.hypotheses) > 1
        or utterance.free_text is not None
        or utterance.confidence < 1.0
        or any(word.end_s > word.start_s or word.confidence < 1.0 for word in utterance.words)
    )


class Witness:
    """Cross-checks readings with the sound-alikes of a lexicon."""

    def __init__(self, lexicon: Lexicon) -> None:
        self._swaps: dict[str, dict[str, tuple[str, ...]]] = {}
        for confusion in lexicon.confusions:
            name = _field_of(confusion.slot)
            for word in confusion.words:
                others = tuple(each for each in confusion.words if each != word)
                known = self._swaps.setdefault(name, {})
                known[word] = (*known.get(word, ()), *others)

    def check(
        self,
        utterance: Utterance,
        tokens: Sequence[Token],
        outcomes: list[Outcome],
        alternatives: Sequence[list[Outcome]],
    ) -> None:
        """Add to the drafts, in place, whatever the hearing leaves in doubt."""
        for outcome in outcomes:
            if outcome.draft is not None and outcome.what in ("finding", "detail"):
                _beside_unknown(tokens, outcome.draft)
        if not was_heard(utterance):
            return
        for outcome in outcomes:
            if outcome.draft is not None and outcome.what in ("finding", "detail"):
                self._words(tokens, outcome.draft)
                _free(utterance, outcome.draft)
                _lost_part(tokens, outcome.draft)
                if utterance.confidence < thresholds.WEAK_UTTERANCE:
                    _all_critical(outcome.draft, "it was not heard well as a whole")
                if utterance.dictation < thresholds.DOUBTFUL_DICTATION:
                    _all_critical(outcome.draft, "it may not have been dictation")
            elif isinstance(outcome.command, MarkRegion):
                self._mark(tokens, outcome)
        _compare(outcomes, alternatives)

    def changes(
        self,
        utterance: Utterance,
        tokens: Sequence[Token],
        changes: Sequence[ChangeField],
        draft: Draft,
    ) -> list[ChangeField]:
        """The changes with the doubts of their hearing."""
        if not was_heard(utterance):
            return list(changes)
        known = len(draft.doubts)
        self._words(tokens, draft)
        _free(utterance, draft)
        new = draft.doubts[known:]
        return [change.model_copy(update={"doubt": _joined(change, new)}) for change in changes]

    def _words(self, tokens: Sequence[Token], draft: Draft) -> None:
        for name in _CRITICAL:
            for spot in draft.evidence.get(name, ()):
                for token in tokens[spot.start : spot.end]:
                    if token.text not in _SMALL:
                        self._word(token, name, draft)

    def _word(self, token: Token, name: str, draft: Draft) -> None:
        if token.confidence < thresholds.WEAK_WORD and name in _WATCHED:
            draft.doubt(name, f"“{token.text}” was not heard well")
        elif token.confidence < thresholds.SURE_WORD:
            others = self._sound_alikes(token.text, name)
            if others:
                draft.doubt(name, f"“{token.text}” sounds like “{others[0]}”")

    def _sound_alikes(self, word: str, name: str) -> tuple[str, ...]:
        if name in ("size_mm", "count", "duration_days"):
            teen = (TEEN_TY[word],) if word in TEEN_TY else ()
            return teen or self._swaps.get("", {}).get(word, ())
        return self._swaps.get(name, {}).get(word, ())

    def _mark(self, tokens: Sequence[Token], outcome: Outcome) -> None:
        assert isinstance(outcome.command, MarkRegion)
        if outcome.place is None or outcome.command.doubt:
            return
        weak = [
            token.text
            for spot in outcome.place.spots
            for token in tokens[spot.start : spot.end]
            if token.confidence < thresholds.WEAK_WORD
        ]
        if weak:
            doubt = f"“{weak[0]}” was not heard well"
            outcome.command = outcome.command.model_copy(update={"doubt": doubt})


def _field_of(slot: Slot | None) -> str:
    return "" if slot is None else slot.value


def _joined(change: ChangeField, doubts: Iterable[tuple[str, str]]) -> str | None:
    whys = [change.doubt] if change.doubt else []
    whys += [why for name, why in doubts if name == change.field]
    return "; ".join(whys) or None


def _all_critical(draft: Draft, why: str) -> None:
    for name in _WATCHED:
        if draft.get(name) is not None:
            draft.doubt(name, why)
    if draft.get("region") is not None:
        draft.doubt("subsite", why)


def _lost_part(tokens: Sequence[Token], draft: Draft) -> None:
    """Words beside a place that were not heard well, or not understood, may name its part."""
    spots = [s for name in ("region", "side") for s in draft.evidence.get(name, ())]
    if draft.get("region") is None or draft.get("subsite") is not None or not spots:
        return
    if draft.unknown:
        draft.doubt("subsite", f"“{draft.unknown[0]}” was not understood: a part of it?")
    first, last = min(s.start for s in spots), max(s.end for s in spots)
    taken = {index for spot in draft.spots() for index in range(spot.start, spot.end)}
    beside = {*range(max(0, first - 2), first), last} - taken
    near = [tokens[index] for index in sorted(beside) if index < len(tokens)]
    weak = [each.text for each in near if each.confidence < thresholds.WEAK_BESIDE]
    if weak:
        draft.doubt("subsite", f"“{weak[0]}” beside it was not heard well: a part of it?")


def _beside_unknown(tokens: Sequence[Token], draft: Draft) -> None:
    """A word not understood right beside a place or a figure may belong to it."""
    unknown = set(draft.unknown)
    if not unknown:
        return
    for name in ("region", "subsite", "side", "size_mm"):
        for spot in draft.evidence.get(name, ()):
            for index in (spot.start - 1, spot.end):
                if 0 <= index < len(tokens) and tokens[index].text in unknown:
                    draft.doubt(name, f"“{tokens[index].text}” beside it was not understood")


def _free(utterance: Utterance, draft: Draft) -> None:
    """What was heard without the vocabulary must not contradict the side or the figures."""
    if not utterance.free_text:
        return
    free = normalise(utterance.free_text)
    said = normalise(utterance.text)
    sides = {word for word in free if word in _SIDES} - set(said)
    if sides and draft.get("side") is not None:
        other = sorted(sides)[0]
        draft.doubt("side", f"it may have been “{other}”")
        draft.offer("side", other, 50.0)
    figures = _figures(free)
    if figures and figures != _figures(said):
        for name in ("size_mm", "count", "duration_days"):
            if draft.get(name) is not None and draft.evidence.get(name):
                shown = ", ".join(f"{figure:g}" for figure in figures)
                draft.doubt(name, f"the figures may have been {shown}")


def _figures(words: tuple[str, ...]) -> list[float]:
    found = []
    index = 0
    while index < len(words):
        number = read_number(words, index)
        if number is None or words[index] in ("a", "o", "oh"):
            index += 1
            continue
        found.append(number.value)
        index = number.end
    return found


def _compare(outcomes: list[Outcome], alternatives: Sequence[list[Outcome]]) -> None:
    """Doubt every watched field in which another reading differs."""
    drafts = _drafts(outcomes)
    for alternative in alternatives:
        others = _drafts(alternative)
        if others and not drafts:
            _doubt_marks(outcomes, "another hearing of it gives a finding")
        if len(others) != len(drafts):
            for draft in drafts:
                draft.doubt("kind", "another hearing of it gives other findings")
            continue
        for draft, other in zip(drafts, others, strict=True):
            _compare_drafts(draft, other)


def _doubt_marks(outcomes: list[Outcome], why: str) -> None:
    for outcome in outcomes:
        if isinstance(outcome.command, MarkRegion) and outcome.command.doubt is None:
            outcome.command = outcome.command.model_copy(update={"doubt": why})


def _drafts(outcomes: Iterable[Outcome]) -> list[Draft]:
    return [
        each.draft
        for each in outcomes
        if each.draft is not None and each.what in ("finding", "detail")
    ]


def _compare_drafts(draft: Draft, other: Draft) -> None:
    for name in _WATCHED:
        mine, theirs = draft.get(name), other.get(name)
        if mine == theirs:
            continue
        draft.doubt(name, f"another hearing of it gives {_shown(theirs)}")
        if theirs is not None:
            draft.offer(name, theirs, 90.0)


def _shown(value: FieldValue) -> str:
    if value is None:
        return "none"
    if isinstance(value, list):
        return " by ".join(f"{each:g}" if isinstance(each, float) else each for each in value)
    return str(value)
