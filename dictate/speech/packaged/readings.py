"""From what the decoder found to an utterance: words with times and confidences."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from difflib import SequenceMatcher
from itertools import pairwise

import numpy as np
from rapidfuzz import fuzz

from dictate.audio.level import WINDOW, window_powers
from dictate.audio.source import RATE, Samples
from dictate.speech.heard import Hypothesis, Utterance, Word
from dictate.speech.packaged.decoder import Decoded
from dictate.speech.packaged.expansion import Candidate
from dictate.speech.packaged.free import FreeReading
from dictate.speech.packaged.letters import HeardLetters
from dictate.speech.packaged.spelling import letters_of, spoken_letters
from dictate.speech.packaged.tokens import Tokenizer
from dictate.speech.packaged.weights import Weights

N_BEST = 10
OFF_DICTATION = 0.3
"""Chance of dictation below which an utterance is given as it was heard freely."""
_SHARPNESS = 0.35
"""Differences of score are larger than those of the odds; found on synthetic dictations."""
_UNKNOWN = -12.0
"""Log probability that a word outside the vocabulary counts for, as rare as the rarest inside."""
_NEAR = 8.0
"""Readings further below the best than this are not heard again: nothing asks for them."""
_WORST = -8.0
"""What a letter of a word may lack at most."""
_SEVERAL = 5
"""Words from which the free reading says something that can be compared."""
_TALK, _DOUBTFUL = 0.1, 0.4
"""Chances of dictation: below what is recorded, and below what is recorded without a question."""


@dataclass(frozen=True, slots=True)
class Span:
    """Where the voice lies, in seconds of the stream."""

    start_s: float
    end_s: float


def utterance(
    decoded: Decoded,
    tokenizer: Tokenizer,
    span: Span,
    weights: Weights,
    letters: HeardLetters | None = None,
) -> Utterance | None:
    """The readings as an utterance; None when the network, left free, hears no word.

    With the `letters` of a second hearing they are ranked by both.
    """
    heard = tokenizer.text(decoded.free.tokens)
    candidates = [each for each in decoded.candidates if each.words][:N_BEST]
    if decoded.free.whole and not heard:
        return None
    if not candidates:
        return freely(decoded.free, tokenizer, span, dictation=0.0)
    candidates, lacking = _heard_again(candidates, letters, weights)
    hypotheses = _hypotheses(candidates, lacking, span, weights)
    count = sum(map(len, candidates[0].words))
    chance = dictation(candidates[0], count, decoded.free, heard, weights)
    chance = min(chance, _bound(candidates[0].words, heard, weights))
    if heard and chance < OFF_DICTATION:
        # Talk is kept as it was said, not as the few words of it that the trade knows.
        talk = Hypothesis(_free_words(decoded.free, heard, span), hypotheses[0].score)
        hypotheses = (talk, *hypotheses)
    return Utterance(
        hypotheses,
        span.start_s,
        span.end_s,
        confidence=_mean([word.confidence for word in hypotheses[0].words]),
        dictation=chance,
        free_text=heard,
    )


def _heard_again(
    candidates: Sequence[Candidate], letters: HeardLetters | None, weights: Weights
) -> tuple[list[Candidate], list[tuple[float, ...]]]:
    """The readings by the scores of both hearings, best first; and what their words lack."""
    if letters is None or weights.letters is None:
        return list(candidates), [() for _ in candidates]
    near = [each for each in candidates if each.score >= candidates[0].score - _NEAR]
    fits = letters.fits([each.words for each in near])
    worst = min((fit.score for fit in fits if fit is not None), default=0.0)
    scored = []
    for each, fit in zip(near, fits, strict=True):
        score = each.score + weights.letters[0] * (worst if fit is None else fit.score)
        scored.append((replace(each, score=score), () if fit is None else fit.words))
    scored.sort(key=lambda pair: -pair[0].score)
    return [each for each, _ in scored], [words for _, words in scored]


def _hypotheses(
    candidates: Sequence[Candidate],
    lacking: Sequence[tuple[float, ...]],
    span: Span,
    weights: Weights,
) -> tuple[Hypothesis, ...]:
    texts = [each.words for each in candidates]
    shares = _shares([each.score for each in candidates])
    return tuple(
        Hypothesis(
            _timed(
                each.words, _confidences(index, texts, shares, candidates, lacks, weights), span
            ),
            each.score,
        )
        for index, (each, lacks) in enumerate(zip(candidates, lacking, strict=True))
    )


def freely(
    free: FreeReading, tokenizer: Tokenizer, span: Span, dictation: float = 1.0
) -> Utterance | None:
    """The free reading alone as an utterance; None when it holds no word."""
    text = tokenizer.text(free.tokens)
    if not text:
        return None
    words = _free_words(free, text, span)
    return Utterance(
        (Hypothesis(words, free.acoustic),),
        span.start_s,
        span.end_s,
        confidence=_mean([word.confidence for word in words]),
        dictation=dictation,
        free_text=text,
    )


def _free_words(free: FreeReading, text: str, span: Span) -> tuple[Word, ...]:
    """Words of the free reading, each as sure as all of it."""
    confidence = math.exp(free.acoustic / (len(free.tokens) + 1))
    words = text.split()
    return _timed(words, [confidence] * len(words), span)


def dictation(best: Candidate, letters: int, free: FreeReading, text: str, w: Weights) -> float:
    """0 to 1: how likely this was dictation, from held against free reading.

    Held to the vocabulary, other talk costs the network much, strings words together that
    the trade does not, and leaves most of the sound out. `letters` are those of `best`,
    `text` is the free reading's.
    """
    expected = max(1, spoken_letters(text))
    terms = (
        1.0,
        max(-3.0, (best.acoustic - free.acoustic) / (len(free.tokens) + 1)),
        (best.language + _UNKNOWN * best.unknown) / (len(best.words) + 1),
        max(-1.0, min(0.0, letters / expected - 1.0)),
    )
    return _chance(w.dictation, terms)


def _bound(held: Sequence[str], free: str, weights: Weights) -> float:
    """The most that the chance of dictation can be where the readings say different things."""
    if weights.apart is None or len(free.split()) < _SEVERAL:
        return 1.0
    likeness = fuzz.ratio(letters_of(" ".join(held)), letters_of(free))
    talk, doubtful = weights.apart
    return _TALK if likeness < talk else _DOUBTFUL if likeness < doubtful else 1.0


def voiced_span(samples: Samples, start_s: float) -> Span:
    """The part of the samples that is within 25 dB of their loud tenth."""
    power = window_powers(samples)
    if not len(power):
        return Span(start_s, start_s + len(samples) / RATE)
    loud = np.flatnonzero(power >= np.quantile(power, 0.9) * 10**-2.5)
    first, last = int(loud[0]), int(loud[-1]) + 1
    return Span(start_s + first * WINDOW / RATE, start_s + last * WINDOW / RATE)


def _shares(scores: Sequence[float]) -> list[float]:
    best = max(scores)
    weights = [math.exp((score - best) * _SHARPNESS) for score in scores]
    total = sum(weights)
    return [weight / total for weight in weights]


def _confidences(
    index: int,
    texts: Sequence[tuple[str, ...]],
    shares: Sequence[float],
    candidates: Sequence[Candidate],
    lacks: Sequence[float],
    weights: Weights,
) -> list[float]:
    """Per word, the chance that it is right. `lacks`: of each word, in the second hearing."""
    text, candidate = texts[index], candidates[index]
    agreed = [0.0] * len(text)
    for other, share in zip(texts, shares, strict=True):
        for block in SequenceMatcher(None, text, other, autojunk=False).get_matching_blocks():
            for at in range(block.a, block.a + block.size):
                agreed[at] += share
    each = max(-20.0, candidate.score / len(text))
    steps = [now - before for before, now in pairwise((0.0, *candidate.marks))]
    factors = (*weights.confidence, weights.letters[1] if weights.letters else 0.0)
    return [
        _chance(
            factors,
            (1.0, math.log(max(share, 1e-3)), max(-8.0, step), each, max(_WORST, lack)),
        )
        for share, step, lack in zip(agreed, steps, lacks or [0.0] * len(text), strict=True)
    ]


def _chance(factors: Sequence[float], terms: Sequence[float]) -> float:
    logit = sum(factor * term for factor, term in zip(factors, terms, strict=True))
    return 1.0 / (1.0 + math.exp(-max(-30.0, min(30.0, logit))))


def _mean(confidences: Sequence[float]) -> float:
    logs = [math.log(max(each, 1e-6)) for each in confidences]
    return math.exp(sum(logs) / len(logs))


def _timed(text: Sequence[str], confidences: Sequence[float], span: Span) -> tuple[Word, ...]:
    """Words spread over the voice by their length: the model gives no times of its own."""
    weights = [len(word) + 1.0 for word in text]
    bounds = np.concatenate([[0.0], np.cumsum(weights)]) / max(sum(weights), 1.0)
    times = (span.start_s + bounds * (span.end_s - span.start_s)).tolist()
    return tuple(
        Word(word, start, end, confidence)
        for word, start, end, confidence in zip(
            text, times[:-1], times[1:], confidences, strict=True
        )
    )
