"""Sound too long to be read at once.

Outside reference: the shipped transcripts of Debian's asterisk-core-sounds-en-wav (a human voice).
"""

from __future__ import annotations

from itertools import accumulate

import jiwer
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dictate.audio.source import RATE
from dictate.bench.human import prompts
from dictate.bench.words import plain
from dictate.speech.heard import Hypothesis, Utterance, Word
from dictate.speech.packaged.engine import PackagedRecogniser
from dictate.speech.packaged.pieces import LONGEST_S, joined, pieces
from dictate.vocabulary.loader import load
from tests.speech_samples import hiss, read, silence


@settings(max_examples=40, deadline=None)
@given(st.floats(0.0, 100.0))
def test_pieces_are_all_of_the_sound_and_none_is_too_long(seconds: float) -> None:
    sound = hiss(seconds, 0.2)
    cut = pieces(sound)
    assert np.array_equal(np.concatenate(cut), sound)
    assert all(len(piece) <= LONGEST_S * RATE for piece in cut)
    assert len(cut) == 1 or all(len(piece) >= 7.9 * RATE for piece in cut)


@pytest.mark.parametrize("quiet_s", [9.0, 14.5, 20.0])
def test_it_is_cut_in_the_quiet(quiet_s: float) -> None:
    sound = np.concatenate([hiss(quiet_s, 0.2), silence(0.4), hiss(32.0 - quiet_s, 0.2)])
    joints = [each / RATE for each in accumulate(map(len, pieces(sound)))][:-1]
    assert any(quiet_s < at < quiet_s + 0.4 for at in joints)


def heard(text: str, start_s: float, *others: str, sure: float = 0.9) -> Utterance:
    def reading(words: str, score: float) -> Hypothesis:
        return Hypothesis(tuple(Word(w, start_s, start_s + 1, sure) for w in words.split()), score)

    readings = [reading(each, -float(rank)) for rank, each in enumerate((text, *others))]
    return Utterance(tuple(readings), start_s, start_s + 1, sure, sure, text.title(), 20.0 + sure)


def test_a_joined_utterance_is_as_sure_as_its_least_sure_part() -> None:
    whole = joined([heard("white plaque", 0.0), heard("left cheek", 5.0, "lift cheek", sure=0.4)])
    assert whole.text == "white plaque left cheek"
    assert [each.text for each in whole.hypotheses] == [
        "white plaque left cheek",
        "white plaque lift cheek",
    ]
    assert (whole.start_s, whole.end_s) == (0.0, 6.0)
    assert (whole.confidence, whole.dictation, whole.clearance_db) == (0.4, 0.4, 20.4)
    assert whole.free_text == "White Plaque Left Cheek"


def test_a_minute_of_human_speech_is_read_without_repeating_itself() -> None:
    spelling = load().spelling
    chosen = [each for each in prompts()[::2] if len(each.text.split()) >= 6][:20]
    recogniser = PackagedRecogniser(load())
    recogniser.begin(0.0)
    for prompt in chosen:
        recogniser.hear(read(prompt.path))
        recogniser.hear(silence(0.3))
    utterance = recogniser.finish()
    assert utterance is not None
    assert utterance.end_s > 45.0
    said = plain(" ".join(each.text for each in chosen), spelling)
    assert jiwer.wer(said, plain(utterance.text, spelling)) < 0.15
