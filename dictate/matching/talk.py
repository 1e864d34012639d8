"""Dictation between words to the patient or to others: the talk is put aside, the rest is read."""

from __future__ import annotations

from collections.abc import Callable

from dictate.matching.negation import Sentence
from dictate.matching.offtalk import understood, why_off_talk
from dictate.matching.outcome import Outcome
from dictate.matching.parts import parts_of
from dictate.matching.text import Token
from dictate.matching.thresholds import UNDERSTOOD
from dictate.vocabulary.schema import Slot

Tokens = tuple[Token, ...]
_BETWEEN_TALK = "words to somebody stood beside it: is it a finding?"


def without_talk(
    tokens: Tokens, read: Callable[[Tokens], Sentence]
) -> tuple[Tokens, tuple[str, ...]]:
    """The parts between pauses that are dictation, and the words of those that are talk.

    All tokens, and no talk, if the rest would name no lesion and place.
    """
    kept: Tokens = ()
    talk: list[str] = []
    sided = False
    for start, end in parts_of(tokens):
        part = tokens[start:end]
        sentence = read(part)
        if not why_off_talk(sentence) and understood(sentence) >= UNDERSTOOD:
            kept += part
        else:
            talk.append(" ".join(token.text for token in part))
            sided |= _says_side(sentence)
    sentence = read(kept)
    if sided and not _says_side(sentence):
        return tokens, ()  # "On my left, white patch of the cheek."
    if not talk or why_off_talk(sentence) or not _tells(sentence):
        return tokens, ()
    return kept, tuple(talk)


def doubt_beside_talk(outcomes: list[Outcome]) -> None:
    """Ask whether what was said between words to somebody is a finding at all."""
    for outcome in outcomes:
        if outcome.draft is not None and outcome.recorded:
            outcome.draft.doubt("kind", _BETWEEN_TALK)


def _says_side(sentence: Sentence) -> bool:
    return any(spot.slot is Slot.SIDE for spot in sentence.spots)


def _tells(sentence: Sentence) -> bool:
    slots = {spot.slot for spot in sentence.spots if not spot.negated}
    what = {Slot.KIND, Slot.NORMAL_VARIANT, Slot.TENDER, Slot.SURFACE}
    return bool(slots & what) and bool(slots & {Slot.REGION, Slot.SUBSITE, Slot.NODE_LEVEL})
