"""What is put aside: sounds that say nothing, talk, and what was not heard well enough."""

from __future__ import annotations

from itertools import pairwise

from dictate.exam import commands as cmd
from dictate.matching import thresholds
from dictate.matching.grammar import HESITATIONS
from dictate.matching.items import LESIONS
from dictate.matching.negation import DESCRIBING, Sentence
from dictate.matching.offtalk import how_often, understood, why_off_talk
from dictate.matching.outcome import Outcome
from dictate.matching.place import SITES
from dictate.matching.spots import Mark
from dictate.matching.text import Token
from dictate.speech.heard import Hypothesis, Utterance
from dictate.vocabulary.schema import Slot

CLEAR_MARK = 0.75
"""Share of telling words understood that a mark, a detail, a step or a bare correction needs."""
_BRIEF_S = 2.0
"""Seconds up to which a mere "um" or cough is taken for that."""
OF_REGIONS = frozenset({Slot.NORMAL, Slot.EXAMINED, Slot.NOT_EXAMINED})
"""Slots of statements about a region, which must not move the finding asked about."""
YES_OR_SIDE = "“right” may mean yes or a side: say “yes” or “right side”"
_BEFORE_SIDE = frozenset({"the", "on", "patients", "his", "her", "their", "not", "side"})
_AFTER_SIDE = frozenset({"side", "sided", "hand", "not"})
_SAID_OF_IT = DESCRIBING - {Slot.NOTE} | {Slot.SYMPTOM, Slot.WIPES_OFF}
_NAMED = SITES | LESIONS | OF_REGIONS


def refusal(utterance: Utterance, sentence: Sentence) -> str:
    """Why an utterance is put aside as a whole; empty when it is read."""
    if utterance.dictation < thresholds.OFF_DICTATION:
        return "it did not sound like dictation"
    why = why_off_talk(sentence)
    if why:
        return why
    if how_often(sentence):
        return "it tells how often"
    if understood(sentence) < thresholds.UNDERSTOOD:
        return "most of it was not understood"
    if _faint(utterance, sentence):
        return "a few words that were not heard well: say it again"
    return ""


def says_nothing(utterance: Utterance, tokens: tuple[Token, ...]) -> bool:
    """True for no word at all, and for a short "um"; a long one may hide words."""
    if not tokens:
        return True
    brief = utterance.end_s - utterance.start_s <= _BRIEF_S
    return brief and all(token.text in HESITATIONS for token in tokens)


def _faint(utterance: Utterance, sentence: Sentence) -> bool:
    """True for a badly heard "seven years": it may be a part of talk, and would add to a lesion."""
    few = len(sentence.words) <= thresholds.FEW_WORDS
    carried = any(spot.slot is Slot.CARRY for spot in sentence.spots)
    return few and utterance.confidence < thresholds.FAINT and not (carried or names(sentence))


def names(sentence: Sentence) -> bool:
    """True if it names a place or a lesion, or says how a region is."""
    return any(spot.slot in _NAMED for spot in sentence.spots)


def cut_short(hypothesis: Hypothesis, best: Hypothesis) -> bool:
    """True if a reading only leaves off the end of the best: that contradicts nothing."""
    words = [word.text for word in hypothesis.words]
    return words == [word.text for word in best.words[: len(words)]]


def clear_enough(outcome: Outcome, sentence: Sentence) -> bool:
    """Chat that happens to name a place must not move or mark anything."""
    if outcome.what in ("finding", "aside"):
        return True
    mark = outcome.command
    if isinstance(mark, cmd.MarkRegion) and mark.state == "not_examined":
        return True  # Its reason is in the clinician's own words, and claims no health.
    if understood(sentence) >= CLEAR_MARK:
        return True
    if outcome.what != "detail" or outcome.draft is None or not _says_of_it(sentence):
        return False
    for name in outcome.draft.details():
        outcome.draft.doubt(name, "not all that was said with it was understood")
    return True


def _says_of_it(sentence: Sentence) -> bool:
    """ "It is healing, looks happier": what is said of "it" is of the finding in hand."""
    pointed = False
    for spot in sentence.spots:
        if spot.start in sentence.stops:
            pointed = False
        if (spot.slot is Slot.CARRY or spot.mark is Mark.NEGATION) and "it" in spot.said:
            pointed = True
        elif spot.mark is not Mark.FUNCTION and spot.slot is not Slot.FILLER:
            if pointed and spot.slot in _SAID_OF_IT and spot.likely is None:
                return True
            pointed = False
    return False


def may_be_yes(words: tuple[str, ...]) -> bool:
    """True if each "right" may be no side: "right, twelve millimetres", "all right then"."""
    beside = set(pairwise(words))
    sided = any((word, "right") in beside for word in _BEFORE_SIDE) or any(
        ("right", word) in beside for word in _AFTER_SIDE
    )
    return "left" not in words and not sided
