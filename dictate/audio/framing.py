"""Blocks as a sound card gives them, made into frames of 16 kHz mono on one clock."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import soxr

from dictate.audio.source import FRAME, RATE, Frame, Samples


class Converter:
    """Interleaved 16-bit blocks of any rate and channels, streamed to 16 kHz mono."""

    def __init__(self, rate: int, channels: int) -> None:
        self._channels = channels
        self._ratio = RATE / rate
        self._resampler = (
            None if rate == RATE else soxr.ResampleStream(rate, RATE, 1, dtype="int16")
        )

    def convert(self, block: bytes) -> Samples:
        """The block's samples; with a resampler they trail by its delay of some ms."""
        samples: Samples = np.frombuffer(block, "<i2").astype(np.int16, copy=False)
        if self._channels > 1:
            samples = samples.reshape(-1, self._channels).mean(axis=1).round().astype(np.int16)
        if self._resampler is not None:
            samples = self._resampler.resample_chunk(samples)
        return samples

    def lost(self, samples: int) -> int:
        """That many samples of the sound card, counted at 16 kHz."""
        return round(samples * self._ratio)


class Framer:
    """Cuts samples into whole frames and keeps the clock, gaps included."""

    def __init__(self) -> None:
        self.position = 0
        """Samples since the listening began, up to the end of what was pushed or lost."""
        self._rest: Samples = np.zeros(0, np.int16)
        self._lost = 0

    def push(self, samples: Samples) -> Iterator[Frame]:
        """The frames that are whole now; the rest waits for the next call."""
        self.position += len(samples)
        waiting = np.concatenate([self._rest, samples])
        whole = len(waiting) // FRAME * FRAME
        begins = self.position - len(waiting)
        self._rest = waiting[whole:]
        for at in range(0, whole, FRAME):
            lost, self._lost = self._lost, 0
            yield Frame(waiting[at : at + FRAME], (begins + at) / RATE, lost)

    def gap(self, samples: int) -> Iterator[Frame]:
        """Note lost samples: what waits comes out padded, the next frame tells the loss."""
        if samples <= 0:
            return
        if len(self._rest):
            padding = FRAME - len(self._rest)
            yield from self.push(np.zeros(padding, np.int16))
            samples = max(1, samples - padding)
        self.position += samples
        self._lost += samples
