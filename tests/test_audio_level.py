"""Levels agree with `sox stats`, which measures them independently."""

from __future__ import annotations

import re
import subprocess
from pathlib import Path

import numpy as np
import numpy.typing as npt
import pytest
import soundfile

from dictate.audio.level import FLOOR_DB, clearance_db, measure
from dictate.audio.source import FRAME, RATE, Samples


@pytest.mark.parametrize("amplitude", [1.0, 0.5, 0.01])
def test_a_sine_measures_as_in_sox(tmp_path: Path, amplitude: float) -> None:
    sine = amplitude * np.sin(2 * np.pi * 1000 * np.arange(RATE) / RATE)
    samples, told = _by_sox(sine, tmp_path)
    level = measure(samples)
    assert level.rms_db == pytest.approx(_figure(told, "RMS lev dB"), abs=0.02)
    assert level.peak_db == pytest.approx(_figure(told, "Pk lev dB"), abs=0.02)


@pytest.mark.parametrize("below", [6.0, 12.5, 20.0])
def test_loud_above_quiet_is_what_sox_finds(tmp_path: Path, below: float) -> None:
    """Half a second loud, half a second quiet: sox tells the loudest and quietest 50 ms."""
    loudness = np.repeat([0.5, 0.5 * 10 ** (-below / 20)], RATE // 2)
    samples, told = _by_sox(loudness * np.sin(2 * np.pi * 1000 * np.arange(RATE) / RATE), tmp_path)
    expected = _figure(told, "RMS Pk dB") - _figure(told, "RMS Tr dB")
    assert clearance_db(samples) == pytest.approx(expected, abs=0.5)


def test_too_little_sound_has_no_noise() -> None:
    assert clearance_db(np.ones(RATE // 20, np.int16)) == np.inf
    assert clearance_db(np.zeros(RATE, np.int16)) == np.inf


def _by_sox(sound: npt.NDArray[np.float64], folder: Path) -> tuple[Samples, str]:
    path = folder / "a.wav"
    soundfile.write(path, sound, RATE, subtype="PCM_16")
    command = ["sox", path, "-n", "stats"]
    told = subprocess.run(command, capture_output=True, text=True, check=True).stderr
    samples, _ = soundfile.read(path, dtype="int16")
    return samples, told


def _figure(told: str, name: str) -> float:
    found = re.search(rf"{name}\s+(-?[\d.]+)", told)
    assert found is not None
    return float(found[1])


def test_silence_shows_the_floor() -> None:
    assert measure(np.zeros(FRAME, np.int16)).rms_db == FLOOR_DB
    assert measure(np.zeros(0, np.int16)).peak_db == FLOOR_DB


def test_clipping_is_told() -> None:
    loud = np.full(FRAME, -32768, np.int16)
    assert measure(loud).clipped
    assert measure(loud).rms_db == 0.0
    assert not measure(loud // 2).clipped
