"""Noise nearly as loud as the voice: all that is critical is asked about."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from dictate.exam import commands as cmd
from dictate.matching.reading import Context, Reading
from dictate.speech.heard import Utterance
from dictate.speech.packaged.engine import PackagedRecogniser
from dictate.vocabulary.loader import load
from tests.matching_helpers import MATCHER, heard
from tests.speech_samples import hiss, mixed, silence, speak

SENTENCE = "white plaque on the left buccal mucosa ten millimetres"
PLACED = {"region", "side", "size_mm"}


def asked(reading: Reading) -> set[str]:
    [added] = [each for each in reading.commands if isinstance(each, cmd.AddFinding)]
    return {doubt.field for doubt in added.needs_review}


@pytest.mark.parametrize(("clearance", "expected"), [(None, False), (30.0, False), (9.0, True)])
def test_a_finding_said_in_noise_is_asked_about(clearance: float | None, expected: bool) -> None:
    utterance = replace(heard(SENTENCE), clearance_db=clearance)
    assert (asked(MATCHER.read(utterance, Context())) >= PLACED) == expected


def test_so_is_a_region_called_normal() -> None:
    for clearance, expected in ((30.0, False), (9.0, True)):
        utterance = replace(heard("tongue within normal limits"), clearance_db=clearance)
        [mark] = MATCHER.read(utterance, Context()).commands
        assert isinstance(mark, cmd.MarkRegion)
        assert bool(mark.doubt) == expected


def test_a_command_is_obeyed_in_noise() -> None:
    utterance = replace(heard("undo that"), clearance_db=5.0)
    assert MATCHER.read(utterance, Context()).commands == (cmd.Undo(),)


def test_by_real_sound() -> None:
    """A hiss 5 dB under the voice, by root mean square, as decibels are defined (IEC 80000-15)."""
    voice = np.concatenate([silence(0.4), speak(SENTENCE, "flite-slt"), silence(0.4)])
    level = np.sqrt(np.mean((voice[np.abs(voice) > 0] / 32768) ** 2))
    noise = hiss(len(voice) / 16000, float(level) * 10 ** (-5 / 20))
    recogniser = PackagedRecogniser(load())
    found: list[Utterance] = []
    for sound in (voice, mixed(voice, noise)):
        recogniser.begin(0.0)
        recogniser.hear(sound)
        utterance = recogniser.finish()
        assert utterance is not None
        found.append(utterance)
    quiet, noisy = found
    assert quiet.clearance_db is not None
    assert noisy.clearance_db is not None
    assert quiet.clearance_db > 30 > 12 > noisy.clearance_db
    assert asked(MATCHER.read(quiet, Context())) == set()
    assert asked(MATCHER.read(noisy, Context())) >= PLACED
