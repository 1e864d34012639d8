"""The packaged engine on real sound, human and synthetic.

Outside references: the shipped transcripts of Debian's asterisk-core-sounds-en-wav (a human
voice at 8 kHz) and jiwer's word error rate.
"""

from __future__ import annotations

import gzip
from functools import cache
from pathlib import Path

import jiwer
import numpy as np
import pytest

from dictate.audio.source import RATE, Samples
from dictate.bench.human import PROMPTS, TRANSCRIPTS
from dictate.speech.heard import Partial, Utterance
from dictate.speech.listener import NotUnderstood, listen
from dictate.speech.packaged.engine import PackagedRecogniser
from dictate.speech.packaged.model_files import ADAPTED, find_model, installed_models
from dictate.vocabulary.loader import load
from dictate.vocabulary.normalise import normalise
from tests.speech_samples import framed, hiss, mixed, read, silence, speak

NUMBERS = [*map(str, range(21)), *map(str, range(30, 100, 10))]
DICTATIONS = (
    "white plaque on the left lateral border of the tongue ten by six millimetres",
    "two white patches on the hard palate",
    "tongue dorsum within normal limits",
    "right buccal mucosa ulcer four millimetres present for three weeks",
    "next region",
    "firm node right neck level two fixed and tender",
    "geographic tongue",
)
VOICES = ("flite-slt", "en-us", "en-gb")


def wheel_model() -> Path:
    """The model as its wheel ships it, so that these figures do not hang on an adapted one."""
    return next(folder for folder in installed_models() if folder.name != ADAPTED)


@cache
def engine(bias: bool = True) -> PackagedRecogniser:
    return PackagedRecogniser(load(), wheel_model(), bias=bias)


def hear(samples: Samples, bias: bool = True) -> Utterance | None:
    recogniser = engine(bias)
    recogniser.begin(0.0)
    recogniser.hear(samples)
    return recogniser.finish()


def text(samples: Samples, bias: bool = True) -> str:
    heard = hear(samples, bias)
    return " ".join(normalise(heard.text, load().spelling)) if heard else ""


def padded(samples: Samples) -> Samples:
    return np.concatenate([silence(0.3), samples, silence(0.3)])


def test_a_human_voice_saying_numbers_is_read_right() -> None:
    said = transcripts()
    wrong = {
        number: heard
        for number in NUMBERS
        if (heard := text(read(PROMPTS / "digits" / f"{number}.wav"))) != said[f"digits/{number}"]
    }
    assert wrong == {}


def test_the_vocabulary_halves_the_errors_at_least() -> None:
    said = [sentence for sentence in DICTATIONS for _ in VOICES]
    sounds = [padded(speak(sentence, voice)) for sentence in DICTATIONS for voice in VOICES]
    held = jiwer.wer(said, [text(sound) for sound in sounds])
    free = jiwer.wer(said, [text(sound, bias=False) or "-" for sound in sounds])
    assert held < 0.2
    assert held < free / 2


def test_an_utterance_carries_words_times_confidences_and_alternatives() -> None:
    sound = np.concatenate([silence(0.5), speak(DICTATIONS[0]), silence(0.7)])
    recogniser = engine()
    recogniser.begin(60.0)
    for frame in framed(sound):
        recogniser.hear(frame.samples)
    heard = recogniser.finish()
    assert heard is not None
    assert heard.text == DICTATIONS[0]
    assert len(heard.hypotheses) >= 5
    assert len({each.text for each in heard.hypotheses}) == len(heard.hypotheses)
    scores = [each.score for each in heard.hypotheses]
    assert scores == sorted(scores, reverse=True)
    assert 60.4 < heard.start_s < 60.8
    assert heard.end_s == pytest.approx(60 + len(sound) / RATE - 0.7, abs=0.5)
    times = [time for word in heard.words for time in (word.start_s, word.end_s)]
    assert times == sorted(times)
    assert (times[0], times[-1]) == pytest.approx((heard.start_s, heard.end_s))
    assert all(0 <= word.confidence <= 1 for word in heard.words)
    assert heard.confidence > 0.6
    assert heard.free_text
    assert heard.dictation > 0.7


def test_talk_that_is_no_dictation_is_told_from_it() -> None:
    prompts = ("vm-goodbye", "tt-monkeysintro", "conf-hasjoin", "privacy-prompt", "demo-nomatch")
    found = [hear(read(PROMPTS / f"{name}.wav")) for name in prompts]
    dictations = [hear(padded(speak(sentence, "flite-slt"))) for sentence in DICTATIONS]
    off_talk = [heard.dictation for heard in found if heard is not None]
    assert off_talk
    assert max(off_talk) < 0.5
    assert min(heard.dictation for heard in dictations if heard is not None) > 0.5


def test_talk_is_kept_as_it_was_said() -> None:
    """Not cut down to the few of its words that the vocabulary has."""
    heard = hear(read(PROMPTS / "privacy-prompt.wav"))
    assert heard is not None
    assert (
        jiwer.wer(transcripts()["privacy-prompt"], " ".join(normalise(heard.text, load().spelling)))
        < 0.2
    )
    assert len(heard.hypotheses) > 1


def test_a_wrong_number_is_among_the_alternatives_of_a_misheard_one() -> None:
    """Fifteen and fifty sound alike: whichever is best, the other must not be lost."""
    for said in ("fifteen", "fifty", "thirteen", "thirty"):
        heard = hear(padded(speak(f"white plaque left tongue {said} millimetres", "en-gb")))
        assert heard is not None
        assert any(said in each.text.split() for each in heard.hypotheses)


def test_silence_and_noise_bring_no_words() -> None:
    assert hear(silence(2)) is None
    for sound in (hiss(4, 0.01), hiss(4, 0.1, seed=1)):
        events = listen(framed(sound), engine(), levels=False)
        assert not [event for event in events if isinstance(event, Utterance)]


def test_nothing_heard_is_no_utterance() -> None:
    recogniser = engine()
    recogniser.begin(0.0)
    assert recogniser.finish() is None


def test_utterances_do_not_run_into_each_other() -> None:
    first, second = padded(speak("geographic tongue")), padded(speak("next region"))
    assert text(first) == "geographic tongue"
    assert text(second) == "next region"


def test_a_stream_gives_partial_words_and_then_the_utterances() -> None:
    sound = np.concatenate(
        [silence(1), speak(DICTATIONS[0]), silence(1.5), speak("next region"), silence(1)]
    )
    events = list(listen(framed(mixed(sound, hiss(len(sound) / RATE, 0.001))), engine()))
    heard = [event for event in events if isinstance(event, Utterance)]
    assert [each.text for each in heard] == [DICTATIONS[0], "next region"]
    before = events[: events.index(heard[0])]
    partials = [event.text for event in before if isinstance(event, Partial)]
    assert len(partials) >= 4
    assert any(text.startswith("white") for text in partials)


def test_a_reading_made_ahead_is_the_final_one() -> None:
    sound = padded(speak(DICTATIONS[1]))
    recogniser = engine()
    recogniser.begin(0.0)
    recogniser.hear(sound)
    ahead = recogniser.prepare()
    heard = recogniser.finish()
    assert heard is not None
    assert heard.text == ahead
    recogniser.begin(0.0)
    recogniser.hear(sound[: RATE // 2])
    recogniser.prepare()
    recogniser.hear(sound[RATE // 2 :])
    late = recogniser.finish()
    assert late is not None
    assert late.text == ahead


def test_a_long_recording_without_a_pause_is_heard_in_parts() -> None:
    sentence = speak("white plaque on the left lateral border of the tongue")
    sound = np.concatenate([sentence[: len(sentence) - 4000]] * 14)
    events = list(listen(framed(sound), engine(), partial_every_s=None, levels=False))
    heard = [event for event in events if isinstance(event, Utterance)]
    assert len(heard) >= 2
    assert sum(each.text.count("plaque") for each in heard) >= 10
    assert not any(isinstance(event, NotUnderstood) for event in events)


def test_free_reading_of_a_human_voice_agrees_with_the_transcripts() -> None:
    names = ("vm-goodbye", "conf-hasjoin", "demo-nomatch", "tt-monkeysintro", "privacy-prompt")
    said = transcripts()
    got = [text(read(PROMPTS / f"{name}.wav"), bias=False) for name in names]
    assert jiwer.wer([said[name] for name in names], got) < 0.2


def transcripts() -> dict[str, str]:
    """Words of each prompt by its name."""
    with gzip.open(TRANSCRIPTS, "rt", errors="replace") as lines:
        pairs = [line.strip().split(":", 1) for line in lines if ":" in line]
    return {name: " ".join(normalise(text, load().spelling)) for name, text in pairs}


def test_the_model_that_is_used_is_told() -> None:
    assert engine().model == wheel_model().name
    assert find_model().folder in installed_models()
