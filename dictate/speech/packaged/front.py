"""How the speech model is helped to hear in noise, where its folder holds two more networks.

The front takes noise out of the sound, the mend corrects what the encoder makes of what is left.
Both are trained by `models/adapt/train_front.py`. Sound that has little noise in it passes by both
untouched, so that quiet rooms are heard exactly as without them.
"""

from __future__ import annotations

from typing import Protocol

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float32]
NOISY_BELOW_DB = 14.0
"""What the front would leave over what it would take, in power: above this nothing is done.

Chosen on development clips and half of the human prompts (`models/adapt/README.md`): speech in a
quiet room lies above 17 dB, prompts above 14.7 dB, suction 20 dB under the speech below 13.5 dB.
"""
WINDOW, HOP = 512, 256
FLOOR = 0.1
"""Share of the frames that are taken for a frequency's quietest."""
QUIETEST = 1e-9
"""Power below which a frequency counts as silent; samples are within -1 to 1."""
_LIKELY_LEVEL, _SPREAD = -4.0, 2.0
_SHAPE = np.sqrt(np.hanning(WINDOW + 1)[:-1]).astype(np.float32)


def spectrum(sound: Floats) -> npt.NDArray[np.complex64]:
    """Short-time spectrum (bins, frames) of samples; a frame every `HOP` samples."""
    padded = np.pad(sound, (WINDOW // 2, WINDOW // 2 + -len(sound) % HOP))
    frames = np.lib.stride_tricks.sliding_window_view(padded, WINDOW)[::HOP]
    return np.asarray(np.fft.rfft(frames * _SHAPE, axis=1).T, np.complex64)


def sound_of(spectra: npt.NDArray[np.complex64], length: int) -> Floats:
    """Samples of a short-time spectrum: the inverse of `spectrum` for `length` samples."""
    frames = np.fft.irfft(spectra.T, WINDOW, axis=1).astype(np.float32) * _SHAPE
    halves = frames.reshape(len(frames), 2, HOP)
    total = np.zeros((len(frames) + 1, HOP), np.float32)
    total[:-1] += halves[:, 0]
    total[1:] += halves[:, 1]
    flat = total.reshape(-1)[WINDOW // 2 :]
    return np.pad(flat, (0, max(0, length - len(flat))))[:length]


def powers(spectra: npt.NDArray[np.complex64]) -> Floats:
    """Power of each bin in each frame."""
    return np.asarray(np.square(spectra.real) + np.square(spectra.imag), np.float32)


def levels(spectra: npt.NDArray[np.complex64]) -> tuple[Floats, Floats]:
    """Log power (1, bins, frames) about its mean, and where each bin is quietest (1, bins, 1)."""
    logs = np.log10(np.maximum(powers(spectra), QUIETEST))
    level = np.asarray((logs - _LIKELY_LEVEL) / _SPREAD, np.float32)
    level -= level.mean()
    place = int(level.shape[1] * FLOOR)
    floor = np.partition(level, place, axis=1)[:, place]
    return level[None], floor[None, :, None]


class Session(Protocol):
    """The part of an onnxruntime session that is used."""

    def run(self, outputs: None, feed: dict[str, Floats]) -> list[Floats]: ...


class Help:
    """The two networks of a model, to be applied before and after its encoder."""

    def __init__(self, front: Session, mend: Session) -> None:
        self._front = front
        self._mend = mend

    def cleaned(self, sound: Floats) -> Floats | None:
        """Samples with the noise taken out; None where there is too little to touch them."""
        spectra = spectrum(sound)
        level, floor = levels(spectra)
        factors = self._front.run(None, {"levels": level, "floors": floor})[0][0]
        power = powers(spectra)
        left, taken = (float(np.vdot(power, np.square(each))) for each in (factors, 1 - factors))
        if left > 10 ** (NOISY_BELOW_DB / 10) * taken:
            return None
        spectra *= 1 - factors
        return sound - sound_of(spectra, len(sound))

    def mended(self, states: Floats) -> Floats:
        """The encoder's states (1, states, size) of cleaned sound, corrected."""
        return self._mend.run(None, {"states": states})[0]
