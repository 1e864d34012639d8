"""Playback of a source at the speed of speech, as a microphone would bring it."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterator

from dictate.audio.source import FRAME, RATE, AudioSource, Frame


class Paced:
    """A source whose frames come when a microphone would have them whole.

    A reader that falls behind gets the frames it missed at once, none is lost.
    `clock` gives seconds; `wait(seconds)` returns True when the wait was broken off.
    """

    def __init__(
        self,
        source: AudioSource,
        clock: Callable[[], float] = time.monotonic,
        wait: Callable[[float], bool] | None = None,
    ) -> None:
        self.name = source.name
        self._source = source
        self._closed = threading.Event()
        self._clock = clock
        self._wait = wait or self._closed.wait

    def frames(self) -> Iterator[Frame]:
        """Frames at real speed, until the source ends or is closed."""
        began = self._clock()
        for frame in self._source.frames():
            ahead = began + frame.start_s + FRAME / RATE - self._clock()
            if self._closed.is_set() or (ahead > 0 and self._wait(ahead)):
                return
            yield frame

    def close(self) -> None:
        """Stop, breaking off a wait; may be called from another thread, and twice."""
        self._closed.set()
        self._source.close()
