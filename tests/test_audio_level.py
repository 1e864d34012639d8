"""Levels agree with `sox stats`, which measures them independently."""

from __future__ import annotations

import re
import subprocess
from pathlib import Path

import numpy as np
import pytest
import soundfile

from dictate.audio.level import FLOOR_DB, measure
from dictate.audio.source import FRAME, RATE


@pytest.mark.parametrize("amplitude", [1.0, 0.5, 0.01])
def test_a_sine_measures_as_in_sox(tmp_path: Path, amplitude: float) -> None:
    sine = amplitude * np.sin(2 * np.pi * 1000 * np.arange(RATE) / RATE)
    path = tmp_path / "a.wav"
    soundfile.write(path, sine, RATE, subtype="PCM_16")
    told = subprocess.run(
        ["sox", path, "-n", "stats"], capture_output=True, text=True, check=True
    ).stderr
    samples, _ = soundfile.read(path, dtype="int16")
    level = measure(samples)
    assert level.rms_db == pytest.approx(_figure(told, "RMS lev dB"), abs=0.02)
    assert level.peak_db == pytest.approx(_figure(told, "Pk lev dB"), abs=0.02)


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
