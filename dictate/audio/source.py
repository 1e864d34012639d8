"""The audio port: whatever yields 16 kHz mono int16 frames is a source."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Protocol

import numpy as np
import numpy.typing as npt

RATE = 16_000
"""Samples a second everywhere behind a source."""
FRAME = 512
"""Samples a frame (32 ms), the window of the voice-activity model."""

Samples = npt.NDArray[np.int16]


@dataclass(frozen=True, slots=True)
class Frame:
    """`FRAME` samples (the last of a file may be zero-padded) from `start_s` seconds on."""

    samples: Samples
    start_s: float
    lost: int = 0
    """Samples lost just before this frame (a microphone overflow), 0 when none."""


class AudioSource(Protocol):
    """A microphone or a recording. Iterating ends at the end of the file or at `close`."""

    name: str

    def frames(self) -> Iterator[Frame]:
        """Frames in order; blocks until each is there. Raises AudioError when it goes deaf."""

    def close(self) -> None:
        """Stop; may be called from another thread, and twice."""
