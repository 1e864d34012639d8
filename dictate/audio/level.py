"""How loud a frame is, for the meter on the screen."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from dictate.audio.source import Samples

FLOOR_DB = -96.0
"""What digital silence shows: the step of 16-bit samples lies near there."""
_FULL_SCALE = 32768.0
_CLIPPED = 32_700


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


def _decibels(amplitude: float) -> float:
    if amplitude <= 0:
        return FLOOR_DB
    return max(FLOOR_DB, 20.0 * math.log10(amplitude / _FULL_SCALE))
