"""Doubts that come from how an utterance was heard, not from what it says.

Typed text has no such doubts. For heard words: low confidence in a word that a critical field
rests on, words with a known sound-alike, other readings of the same sound that place or
measure the finding differently, and what was heard without the vocabulary's help.
"""

from __future__ import annotations

from collections.abc import Sequence

from dictate.exam.commands import ChangeField, MarkRegion
from dictate.exam.finding import CRITICAL
from dictate.matching import thresholds
from dictate.matching.draft import NO_LESION, Draft
from dictate.matching.forms import Words
from dictate.matching.nbest import compare, compare_changes, doubt_mark, doubted
from dictate.matching.numbers import read_number
from dictate.matching.outcome import Outcome
from dictate.matching.sounds import WATCHED, Again, Sounds, beside_unknown, lost_part, surely_heard
from dictate.matching.text import Speller, Token, words_of
from dictate.matching.trust import mistrusted
from dictate.speech.heard import Utterance
from dictate.vocabulary.schema import Lexicon, Slot

_SIDES = ("left", "right")
_NUMBERS = ("size_mm", "count", "duration_days")
_UNNAMED = "no lesion was heard: other words may be misheard too"
_TALK = "it may not have been dictation"


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

    def __init__(self, lexicon: Lexicon, sounds: Sounds) -> None:
        self._sounds = sounds
        self._speller = Speller.of(lexicon)
        self._bystanders = lexicon.bystanders
        self._units = frozenset(
            phrase.words[0]
            for phrase in lexicon.phrases
            if phrase.slot is Slot.LENGTH_UNIT and len(phrase.words) == 1
        )

    def check(
        self,
        utterance: Utterance,
        tokens: Sequence[Token],
        outcomes: Sequence[Outcome],
        alternatives: Sequence[Sequence[Outcome]],
        again: Again,
    ) -> None:
        """Add to the outcomes, in place, whatever the hearing leaves in doubt."""
        recorded = [each for each in outcomes if each.recorded]
        heard = was_heard(utterance)
        free = self._speller.words(utterance.free_text or "")
        known = frozenset(free)
        sure = surely_heard(tokens, known) if heard else words_of(tokens)
        harmless = self._bystanders.intersection(sure)
        for outcome in recorded:
            if outcome.draft is not None:
                beside_unknown(tokens, outcome.draft, harmless, heard=heard)
        if not heard:
            return
        for ordinal, outcome in enumerate(recorded):
            if outcome.draft is not None:
                self._sounds.check(tokens, outcome.draft, ordinal, again)
                lost_part(tokens, outcome.draft, known, harmless)
                _whole(utterance, outcome.draft)
                self._free(utterance, free, outcome.draft)
        for outcome in outcomes:
            self._mark(utterance, free, tokens, outcome)
        compare(outcomes, alternatives)

    def changes(
        self,
        utterance: Utterance,
        tokens: Sequence[Token],
        changes: Sequence[ChangeField],
        draft: Draft,
        alternatives: Sequence[Sequence[ChangeField]] = (),
    ) -> list[ChangeField]:
        """The changes with the doubts of their hearing."""
        if not was_heard(utterance):
            return list(changes)
        known = len(draft.doubts)
        self._sounds.check(tokens, draft, 0, lambda _: ())
        _whole(utterance, draft)
        self._free(utterance, self._speller.words(utterance.free_text or ""), draft)
        checked = list(changes)
        for name, why in draft.doubts[known:]:
            checked = [doubted(each, why) if each.field == name else each for each in checked]
        return compare_changes(checked, alternatives)

    def _mark(
        self, utterance: Utterance, free: Words, tokens: Sequence[Token], outcome: Outcome
    ) -> None:
        if not isinstance(outcome.command, MarkRegion):
            return
        why = self._sounds.weak_word(tokens, outcome)
        why = why or mistrusted(utterance)
        if utterance.dictation < thresholds.DOUBTFUL_DICTATION:
            why = why or _TALK
        other = self._other_side(utterance, free)
        if other and outcome.command.side is not None:
            why = why or f"it may have been “{other}”"
        if why:
            doubt_mark(outcome, why)

    def _free(self, utterance: Utterance, free: Words, draft: Draft) -> None:
        """What was heard without the vocabulary must not contradict the side or the figures."""
        other = self._other_side(utterance, free)
        if other and draft.get("side") is not None:
            draft.doubt("side", f"it may have been “{other}”")
            draft.offer("side", other, 50.0)
        if self._units.intersection(free) and draft.get("size_mm") is None:
            draft.doubt("size_mm", "a size may have been said")
        figures = _figures(free)
        if not figures or figures == _figures(self._speller.words(utterance.text)):
            return
        for name in _NUMBERS:
            if draft.get(name) is not None and draft.evidence.get(name):
                said = ", ".join(f"{figure:g}" for figure in figures)
                draft.doubt(name, f"the figures may have been {said}")

    def _other_side(self, utterance: Utterance, free: Words) -> str:
        """A side heard without the vocabulary that was not heard with it; empty if none."""
        sides = {word for word in free if word in _SIDES} - set(self._speller.words(utterance.text))
        return min(sides, default="")


def _whole(utterance: Utterance, draft: Draft) -> None:
    """Doubt all that is critical in an utterance that cannot be trusted as a whole."""
    reasons = [mistrusted(utterance)]
    if utterance.dictation < thresholds.DOUBTFUL_DICTATION:
        reasons.append(_TALK)
    if ("kind", NO_LESION) in draft.doubts:
        reasons.append(_UNNAMED)
    for why in filter(None, reasons):
        for name in WATCHED:
            if draft.get(name) is not None or name in CRITICAL:
                draft.doubt(name, why)


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
