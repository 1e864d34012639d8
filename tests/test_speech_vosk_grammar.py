"""The grammar a Vosk model is held to, and what its answers become."""

from __future__ import annotations

import random
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dictate.speech.vosk_engine.phrases import grammar, spoken_phrases
from dictate.speech.vosk_engine.results import utterance
from dictate.vocabulary.loader import load
from dictate.vocabulary.sentences import sentences

KNOWN = ("white", "plaque", "left", "tongue", "ten", "by", "six")
NASTY = ("", " ", "<eps>", "#0", "</s>", "[unk]", "[]", '"', "\\", "a b", "plaque\n", "\x00", "1")
word = st.sampled_from(KNOWN + NASTY + ("leukoplakia",))
phrase = st.lists(word, max_size=6)


@given(st.lists(phrase, max_size=6))
@settings(max_examples=200)
def test_a_grammar_holds_known_words_in_spoken_order_only(phrases: list[list[str]]) -> None:
    kept, missing = grammar(phrases, lambda each: True if each in NASTY else each in KNOWN)
    said = {pair for each in phrases for pair in pairwise(each)}
    for run in kept:
        words = run.split(" ")
        assert set(words) <= set(KNOWN)
        assert set(pairwise(words)) <= said
    every = {each for some in phrases for each in some}
    in_grammar = {each for run in kept for each in run.split(" ")}
    assert in_grammar | set(missing) == every
    assert not in_grammar & set(missing)


def test_a_missing_word_does_not_join_its_neighbours() -> None:
    kept, missing = grammar([("no", "leukoplakia", "ulcer")], {"no", "ulcer"}.__contains__)
    assert kept == ("no", "ulcer")
    assert missing == ("leukoplakia",)


def test_the_trades_phrases_hold_every_word_and_number() -> None:
    lexicon = load()
    phrases = spoken_phrases(lexicon)
    words = {each for some in phrases for each in some}
    assert lexicon.words() <= words
    assert {"fifteen", "fifty", "point", "half", "by", "millimetres", "millimeters"} <= words
    assert spoken_phrases(lexicon) == phrases


def test_word_order_never_seen_in_the_making_is_mostly_covered() -> None:
    """Vosk's grammar is a bigram model: pairs it was not given cost a back-off."""
    lexicon = load()
    pairs = {pair for each in spoken_phrases(lexicon) for pair in pairwise(each)}
    fresh = [pair for each in sentences(lexicon, 991, 500) for pair in pairwise(each.words)]
    assert sum(pair in pairs for pair in fresh) / len(fresh) > 0.8


def answer(best: list[tuple[str, float]], *others: tuple[str, float]) -> dict:
    def timed(words: list[str]) -> list[dict]:
        return [{"word": w, "start": i * 0.5, "end": i * 0.5 + 0.4} for i, w in enumerate(words)]

    words = timed([each for each, _ in best])
    for each, (_, confidence) in zip(words, best, strict=True):
        each["conf"] = confidence
    listed = [
        {"text": text, "confidence": score, "result": timed(text.split())} for text, score in others
    ]
    return {"best": words, "others": listed}


def test_speech_outside_the_vocabulary_keeps_its_place() -> None:
    heard = utterance(answer([("no", 0.9), ("[unk]", 1.0), ("ulcer", 0.9)]), 2.0, 4.0)
    assert heard is not None
    assert heard.text == "no [unk] ulcer"
    assert heard.confidence == 0.0
    assert heard.dictation == pytest.approx(2 / 3)
    assert [each.start_s for each in heard.words] == [2.0, 2.5, 3.0]


def test_talk_that_is_all_unknown_is_kept_as_no_dictation() -> None:
    heard = utterance(answer([("[unk]", 1.0), ("[unk]", 0.7)]), 0.0, 1.0)
    assert heard is not None
    assert heard.dictation == 0.0


def test_a_words_confidence_among_readings_is_its_share() -> None:
    """Three readings as likely as one another; two of them agree on a word."""
    heard = utterance(
        answer([("fifteen", 0.6)], ("fifteen", 7.0), ("fifty", 7.0), ("fifteen six", 7.0)), 0.0, 1.0
    )
    assert heard is not None
    shares = {h.text: [w.confidence for w in h.words] for h in heard.hypotheses}
    assert shares["fifteen"] == [0.6]
    assert shares["fifty"] == pytest.approx([1 / 3])
    assert shares["fifteen six"] == pytest.approx([2 / 3, 1 / 3])


def test_nothing_heard_is_no_utterance() -> None:
    assert utterance({"best": [], "others": [{"text": "", "confidence": 0.0}]}, 0.0, 1.0) is None


def test_scores_of_any_size_make_shares() -> None:
    rng = random.Random(3)
    for _ in range(50):
        others = [(f"w{i}", rng.uniform(-2000, 2000)) for i in range(5)]
        heard = utterance(answer([("w0", 0.5)], *others), 0.0, 1.0)
        assert heard is not None
        assert all(0.0 <= w.confidence <= 1.0 for h in heard.hypotheses for w in h.words)
