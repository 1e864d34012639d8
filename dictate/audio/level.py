"""How loud sound is: a frame, for the meter on the screen, and speech above the noise."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from dictate.audio.source import RATE, Samples

FLOOR_DB = -96.0
"""What digital silence shows: the step of 16-bit samples lies near there."""
_FULL_SCALE = 32768.0
_CLIPPED = 32_700
WINDOW = RATE // 50
"""Samples of a window, 20 ms."""
_FEWEST = 5
"""Windows that have a quiet and a loud tenth."""


@dataclass(frozen=True, slots=True)
class Level:
    """Loudness of one frame, in dB below full scale."""

    at_s: float
    rms_db: float
    """Root mean square; a sine of full scale has -3.01."""
    peak_db: float
    clipped: bool
    """True if samples hit the end of the scale: the microphone's gain is too high."""


def measure(samples: Samples, at_s: float = 0.0) -> Level:
    """Level of int16 samples of any number; `FLOOR_DB` for silence or none at all."""
    if not len(samples):
        return Level(at_s, FLOOR_DB, FLOOR_DB, False)
    wide = samples.astype(np.float64)
    peak = float(np.abs(wide).max())
    return Level(
        at_s,
        rms_db=_decibels(math.sqrt(float(np.mean(wide * wide)))),
        peak_db=_decibels(peak),
        clipped=peak >= _CLIPPED,
    )


def window_powers(
    samples: npt.NDArray[np.int16 | np.float32 | np.float64],
) -> npt.NDArray[np.float64]:
    """Mean square of each whole window of samples at 16 kHz, in the square of their unit."""
    count = len(samples) // WINDOW
    windows = samples[: count * WINDOW].astype(np.float64).reshape(count, WINDOW)
    return np.asarray(np.mean(windows * windows, axis=1), np.float64)


def clearance_db(samples: Samples) -> float:
    """How far the loud tenth of int16 samples at 16 kHz lies above the quiet tenth, in dB.

    Speech has quiet moments between words: a small figure is steady noise. Infinite where the quiet
    tenth is silent, and for less than a tenth of a second.
    """
    power = window_powers(samples)
    if len(power) < _FEWEST:
        return math.inf
    quiet, loud = np.quantile(power, (0.1, 0.9))
    return 10.0 * math.log10(loud / quiet) if quiet > 0 else math.inf


def _decibels(amplitude: float) -> float:
    if amplitude <= 0:
        return FLOOR_DB
    return max(FLOOR_DB, 20.0 * math.log10(amplitude / _FULL_SCALE))
