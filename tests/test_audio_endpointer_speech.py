"""Endpointing of real sound with the packaged voice-activity model."""

from __future__ import annotations

import numpy as np
import pytest

from dictate.audio.endpointer import Endpointer, Speech, SpeechEnd, SpeechStart
from dictate.audio.source import Samples
from dictate.bench.human import PROMPTS
from tests.speech_samples import framed, hiss, mixed, read, silence, speak


def utterances(samples: Samples) -> list[tuple[float, float]]:
    """Start and end of each utterance, in seconds."""
    endpointer = Endpointer()
    events = [event for frame in framed(samples) for event in endpointer.push(frame)]
    events += endpointer.flush()
    starts = [event.start_s for event in events if isinstance(event, SpeechStart)]
    ends = [event.end_s for event in events if isinstance(event, SpeechEnd)]
    assert any(isinstance(event, Speech) for event in events) == bool(starts)
    return list(zip(starts, ends, strict=True))


def two_sentences() -> tuple[Samples, float, float]:
    first = speak("white plaque on the left buccal mucosa")
    second = speak("next region")
    sound = np.concatenate([silence(1), first, silence(1.5), second, silence(1)])
    return sound, 1 + len(first) / 16000, 2.5 + len(first) / 16000


@pytest.mark.parametrize("amplitude", [0.0, 0.003, 0.01])
def test_two_sentences_are_two_utterances_in_quiet_and_in_hiss(amplitude: float) -> None:
    sound, first_end, second_start = two_sentences()
    found = utterances(mixed(sound, hiss(len(sound) / 16000, amplitude)))
    assert len(found) == 2
    (start, end), (start_2, _) = found
    assert 0.6 < start <= 1.1
    assert end == pytest.approx(first_end, abs=0.4)
    assert second_start - 0.5 < start_2 <= second_start + 0.15


def test_a_quiet_voice_is_heard() -> None:
    sound, _, _ = two_sentences()
    assert len(utterances((sound * 0.02).astype(np.int16))) == 2


def test_noise_alone_is_no_speech() -> None:
    time = np.arange(16000 * 8) / 16000
    whine = sum(np.sin(2 * np.pi * 1000 * k * time) / k for k in (3, 4, 5))
    assert utterances(hiss(8, 0.05)) == []
    assert utterances((whine * 3000).astype(np.int16)) == []


@pytest.mark.parametrize("name", ["vm-goodbye", "demo-thanks", "digits/15", "conf-getpin"])
def test_a_person_is_heard_whole(name: str) -> None:
    """Telephone prompts of Debian's asterisk-core-sounds-en-wav: a human voice at 8 kHz."""
    prompt = read(PROMPTS / f"{name}.wav")
    sound = np.concatenate([silence(0.5), prompt, silence(1)])
    found = utterances(sound)
    loud = np.flatnonzero(np.abs(sound.astype(int)) > 2000) / 16000
    assert found[0][0] <= loud[0]
    assert found[-1][1] >= loud[-1] - 0.1
