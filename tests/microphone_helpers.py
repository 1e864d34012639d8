"""What tests of the microphone share."""

from __future__ import annotations

import threading

import numpy as np

from dictate.audio.hearing import Hearing, Status
from dictate.audio.resilient import ResilientMicrophone
from dictate.audio.source import Frame


class Recorder:
    """Takes a microphone's frames in a thread, as the recogniser does."""

    def __init__(self, microphone: ResilientMicrophone) -> None:
        self.frames: list[Frame] = []
        self._microphone = microphone
        self._came = threading.Condition()
        self._thread = threading.Thread(target=self._run)
        self._thread.start()

    def wait_for(self, count: int) -> None:
        """Until that many frames have come."""
        with self._came:
            assert self._came.wait_for(lambda: len(self.frames) >= count, 30), "no frames"

    def stop(self) -> np.ndarray:
        self._microphone.close()
        self._thread.join(10)
        return np.concatenate([frame.samples for frame in self.frames])

    def _run(self) -> None:
        for frame in self._microphone.frames():
            with self._came:
                self.frames.append(frame)
                self._came.notify_all()


class States:
    """Collects the states a microphone reports, and waits for the next of a kind."""

    def __init__(self) -> None:
        self.seen: list[Hearing] = []
        self._awaited = 0
        self._changed = threading.Condition()

    def __call__(self, hearing: Hearing) -> None:
        with self._changed:
            self.seen.append(hearing)
            self._changed.notify_all()

    def wait_for(self, status: Status, timeout_s: float = 30.0) -> Hearing:
        """The first state of that status after the one awaited last."""
        with self._changed:
            came = self._changed.wait_for(lambda: self._next(status) is not None, timeout_s)
            assert came, f"never {status}: {self.seen}"
            at = self._next(status)
            assert at is not None
            self._awaited = at + 1
            return self.seen[at]

    def _next(self, status: Status) -> int | None:
        later = range(self._awaited, len(self.seen))
        return next((i for i in later if self.seen[i].status is status), None)
