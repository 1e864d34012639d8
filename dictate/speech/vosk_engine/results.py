"""What libvosk answers, made into an utterance."""

from __future__ import annotations

import math
from typing import Any

from dictate.speech.heard import Hypothesis, Utterance, Word
from dictate.speech.vosk_engine.phrases import UNKNOWN


def utterance(answer: dict[str, Any], start_s: float, end_s: float) -> Utterance | None:
    """The utterance from a worker's "finish"; None when no word was heard.

    Speech that is not in the vocabulary stays as the word "[unk]" with confidence 0. Left
    out, the words around it would join up: "no [unk] ulcer" would deny the ulcer.

    `best` has a confidence for each word: its share among the paths the search kept. It is
    a warning when low and no proof when high. `others` is the n-best list, with scores
    only (log likelihoods). A word's confidence there is the share of the list's
    likelihood that holds the same word at the same time.
    """
    best = tuple(_word(each, each["conf"], start_s) for each in answer["best"])
    if not best:
        return None
    hypotheses = _hypotheses(best, answer["others"], start_s)
    return Utterance(
        hypotheses=hypotheses,
        start_s=start_s,
        end_s=end_s,
        confidence=min(word.confidence for word in best),
        dictation=_known_share(best),
    )


def _hypotheses(
    best: tuple[Word, ...], others: list[dict[str, Any]], start_s: float
) -> tuple[Hypothesis, ...]:
    shares = _shares([other["confidence"] for other in others])
    listed = [
        (other, tuple(_word(each, share, start_s) for each in other.get("result", [])))
        for other, share in zip(others, shares, strict=True)
    ]
    by_text: dict[str, Hypothesis] = {}
    for other, words in listed:
        agreed = tuple(_with_agreement(word, [each for _, each in listed]) for word in words)
        each = Hypothesis(agreed, float(other["confidence"]))
        by_text.setdefault(each.text, each)
    first = " ".join(word.text for word in best)
    same = by_text.pop(first, None)
    top = max((float(other["confidence"]) for other in others), default=0.0)
    rest = [each for text, each in by_text.items() if text]
    return (Hypothesis(best, same.score if same else top), *rest)


def _word(heard: dict[str, Any], confidence: float, start_s: float) -> Word:
    text = str(heard["word"])
    return Word(
        text,
        round(start_s + heard["start"], 3),
        round(start_s + heard["end"], 3),
        0.0 if text == UNKNOWN else min(1.0, max(0.0, float(confidence))),
    )


def _shares(scores: list[float]) -> list[float]:
    """The likelihoods of a list, as shares that add up to 1."""
    top = max(scores, default=0.0)
    likelihoods = [math.exp(score - top) for score in scores]
    return [each / sum(likelihoods) for each in likelihoods]


def _with_agreement(word: Word, listed: list[tuple[Word, ...]]) -> Word:
    if word.text == UNKNOWN:
        return word
    agreeing = (
        next((w.confidence for w in words if w.text == word.text and _overlap(w, word)), 0.0)
        for words in listed
    )
    return Word(word.text, word.start_s, word.end_s, min(1.0, sum(agreeing)))


def _overlap(one: Word, other: Word) -> bool:
    return one.start_s < other.end_s and other.start_s < one.end_s


def _known_share(words: tuple[Word, ...]) -> float:
    """How much of the speaking time went to words of the vocabulary, 0 to 1."""
    spoken = sum(word.end_s - word.start_s for word in words)
    known = sum(word.end_s - word.start_s for word in words if word.text != UNKNOWN)
    return known / spoken if spoken > 0 else 1.0
