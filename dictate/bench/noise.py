"""The noises of a surgery, made by formula, and a mixture at an exact signal-to-noise ratio."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from dictate.audio.level import window_powers
from dictate.audio.source import RATE
from dictate.bench.synthesis import Wave

FloatWave = npt.NDArray[np.float64]
ACTIVE_BELOW_PEAK_DB = 30.0
"""A 20 ms frame counts as speech when it lies at most this far below the loudest one."""


def active_level(samples: Wave | FloatWave) -> float:
    """Root mean square of the frames that carry speech; pauses do not lower it.

    The idea of ITU-T P.56 (speech level over active time alone), with a plain threshold.
    """
    power = window_powers(samples)
    active = power >= power.max() * 10 ** (-ACTIVE_BELOW_PEAK_DB / 10)
    return float(np.sqrt(power[active].mean()))


def mixed(speech: Wave, noise: FloatWave, snr_db: float) -> Wave:
    """Speech with noise `snr_db` below its active level; scaled down together if too loud."""
    scale = active_level(speech) / 10 ** (snr_db / 20) / float(np.sqrt(np.mean(noise**2)))
    both = speech + noise * scale
    peak = float(np.abs(both).max())
    return np.asarray(both / max(1.0, peak / 0.99), dtype=np.float32)


def suction(length: int, random: np.random.Generator) -> FloatWave:
    """The hiss of a suction tip: broad rushing air that gurgles now and then."""
    hiss = _shaped(random.standard_normal(length), low_hz=600, high_hz=7000, tilt_db_octave=-3)
    rumble = _shaped(random.standard_normal(length), low_hz=80, high_hz=500, tilt_db_octave=-3)
    gurgle = 1 + 0.5 * _slow(length, 6.0, random)
    return np.asarray((hiss / hiss.std() + 0.5 * rumble / rumble.std()) * gurgle, np.float64)


def whine(length: int, random: np.random.Generator) -> FloatWave:
    """A turning handpiece: a high tone that sags under load, its harmonics, and its air."""
    base_hz = random.uniform(2600, 3400)
    wobble = 1 + 0.015 * _slow(length, 5.0, random) + 0.06 * _slow(length, 0.7, random)
    phase = 2 * np.pi * np.cumsum(base_hz * wobble) / RATE
    tones = sum(
        level * np.sin(multiple * phase)
        for multiple, level in ((0.5, 0.25), (1.0, 1.0), (2.0, 0.45))
    )
    air = _shaped(random.standard_normal(length), low_hz=1500, high_hz=7500, tilt_db_octave=0)
    return np.asarray(tones + 0.35 * air / air.std(), dtype=np.float64)


def babble(length: int, talkers: Sequence[Wave], random: np.random.Generator) -> FloatWave:
    """Several people talking at once in the background, each at one level."""
    total = np.zeros(length)
    for talker in talkers:
        stretched = _resampled(talker, random.uniform(0.9, 1.1))
        turns = -(-length // len(stretched)) + 1
        start = int(random.integers(len(stretched)))
        stream = np.tile(stretched / active_level(stretched), turns)[start : start + length]
        total += stream
    return total


def _shaped(noise: FloatWave, low_hz: float, high_hz: float, tilt_db_octave: float) -> FloatWave:
    """White noise with everything outside a band taken out, and a slope inside it."""
    spectrum = np.fft.rfft(noise)
    hertz = np.fft.rfftfreq(len(noise), 1 / RATE)
    gain = np.zeros_like(hertz)
    band = (hertz >= low_hz) & (hertz <= high_hz)
    gain[band] = 10 ** (tilt_db_octave * np.log2(hertz[band] / low_hz) / 20)
    return np.asarray(np.fft.irfft(spectrum * gain, len(noise)), dtype=np.float64)


def _slow(length: int, hertz: float, random: np.random.Generator) -> FloatWave:
    """A smooth random wander between -1 and 1, changing about `hertz` times a second."""
    knots = random.uniform(-1, 1, int(length / RATE * hertz) + 3)
    at = np.arange(length) / RATE * hertz
    return np.asarray(np.interp(at, np.arange(len(knots)), knots), dtype=np.float64)


def _resampled(samples: Wave, factor: float) -> FloatWave:
    at = np.arange(0, len(samples) - 1, factor)
    return np.asarray(np.interp(at, np.arange(len(samples)), samples), dtype=np.float64)
