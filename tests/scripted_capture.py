"""A listening process that plays a script on a clock of its own, as fast as it is read."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from dictate.audio.source import FRAME, RATE
from dictate.child_process import ChildGoneError, Message

BLOCK_S = FRAME / RATE


class Clock:
    """Seconds that pass only when told to."""

    def __init__(self) -> None:
        self.now = 0.0

    def __call__(self) -> float:
        return self.now


def ready(device: str = "Chairside USB", rate: int = RATE, channels: int = 1) -> Message:
    return Message({"ready": {"device": device, "rate": rate, "channels": channels}})


def block(value: int = 1, lost: int = 0, size: int = FRAME) -> Message:
    return Message({"lost": lost}, np.full(size, value, "<i2").tobytes())


class Scripted:
    """Gives the script's messages; a float in it is a silence of that many seconds."""

    def __init__(self, clock: Clock, script: Iterator[Message | float]) -> None:
        self._clock = clock
        self._script = script
        self._silent_s = 0.0
        self.stopped = False

    def receive(self, timeout_s: float) -> Message | None:
        if self._silent_s <= 0:
            step = next(self._script, None)
            if step is None:
                raise ChildGoneError("the script is over")
            if isinstance(step, Message):
                self._clock.now += BLOCK_S if step.body else 0.0
                return step
            self._silent_s = step
        waited = min(timeout_s, self._silent_s)
        self._silent_s -= waited
        self._clock.now += waited
        return None

    def stop(self) -> None:
        self.stopped = True
