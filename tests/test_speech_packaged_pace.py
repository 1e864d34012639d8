"""The pace at which the network is given sound.

Outside reference: the shipped transcripts of Debian's asterisk-core-sounds-en-wav, by jiwer.
"""

from __future__ import annotations

from functools import cache

import jiwer
import numpy as np

from dictate.audio.source import Samples
from dictate.bench.human import prompts
from dictate.bench.words import plain
from dictate.speech.heard import Utterance
from dictate.speech.packaged.engine import PackagedRecogniser
from dictate.speech.packaged.model_files import find_model
from dictate.speech.packaged.network import PACED
from dictate.speech.packaged.weights import read_weights
from dictate.vocabulary.loader import load
from tests.speech_samples import hiss, mixed, read, silence, speak

SENTENCE = "white plaque on the left buccal mucosa ten millimetres"


@cache
def engine(paced: bool) -> PackagedRecogniser:
    weights = read_weights(find_model(None).folder)
    assert weights.pace < 1
    pace = weights.pace if paced else 1.0
    return PackagedRecogniser(load(), weights=weights.model_copy(update={"pace": pace}))


def hear(sound: Samples, paced: bool) -> Utterance | None:
    recogniser = engine(paced)
    recogniser.begin(0.0)
    recogniser.hear(sound)
    return recogniser.finish()


def differs(sound: Samples) -> bool:
    return hear(sound, paced=True) != hear(sound, paced=False)


def test_only_long_sound_without_noise_is_given_more_time() -> None:
    words = speak(SENTENCE, "flite-slt")
    assert len(words) > PACED
    assert differs(words)
    assert not differs(mixed(words, hiss(len(words) / 16000, 0.05)))
    assert not differs(speak("yes", "flite-slt")[: PACED - 1])


def test_times_are_those_of_the_sound() -> None:
    sound = np.concatenate([silence(0.5), speak(SENTENCE, "flite-slt"), silence(0.5)])
    with_it, without = hear(sound, paced=True), hear(sound, paced=False)
    assert with_it is not None
    assert without is not None
    assert (with_it.start_s, with_it.end_s) == (without.start_s, without.end_s)


def test_a_human_voice_is_heard_no_worse() -> None:
    spelling = load().spelling
    chosen = [p for p in prompts()[::2] if 3 <= len(p.text.split()) <= 10][::3]
    assert len(chosen) > 25
    said = [plain(prompt.text, spelling) for prompt in chosen]
    errors = {}
    for paced in (True, False):
        heard = [hear(read(prompt.path), paced) for prompt in chosen]
        errors[paced] = jiwer.wer(said, [plain(u.text, spelling) if u else "" for u in heard])
    assert errors[True] <= errors[False]
