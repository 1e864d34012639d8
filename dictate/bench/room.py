"""A reverberant room: an impulse response by formula (first reflections, then decaying noise)."""

from __future__ import annotations

import numpy as np

from dictate.audio.source import RATE
from dictate.bench.noise import FloatWave
from dictate.bench.synthesis import Wave

DECAY_S = 0.5
"""Time in which the sound falls by 60 dB: a small tiled surgery."""
DIRECT_TO_REVERBERANT_DB = 2.0
"""A microphone about a metre from the mouth."""
_FIRST_S = (0.0021, 0.0043, 0.0067, 0.0094, 0.0131, 0.0175)


def impulse_response(random: np.random.Generator, decay_s: float = DECAY_S) -> FloatWave:
    """Direct sound, six first reflections, and a tail that falls by 60 dB in `decay_s`."""
    length = int(decay_s * 1.2 * RATE)
    at_s = np.arange(length) / RATE
    tail = random.standard_normal(length) * 10 ** (-3 * at_s / decay_s)
    tail[: int(0.002 * RATE)] = 0
    for delay_s in _FIRST_S:
        tail[int(delay_s * random.uniform(0.8, 1.25) * RATE)] += random.choice((-1, 1)) * 4.0
    tail *= 10 ** (-DIRECT_TO_REVERBERANT_DB / 20) / np.sqrt(np.sum(tail**2))
    tail[0] = 1.0
    return np.asarray(tail, dtype=np.float64)


def reverberant(speech: Wave, random: np.random.Generator) -> Wave:
    """The speech as that room's microphone gets it, at the peak it had."""
    response = impulse_response(random)
    size = len(speech) + len(response)
    wet = np.fft.irfft(np.fft.rfft(speech, size) * np.fft.rfft(response, size), size)
    wet = wet[: len(speech)]
    return np.asarray(wet / np.abs(wet).max() * np.abs(speech).max(), dtype=np.float32)
