"""A microphone that does not give up: unplugged, refused or hung, it says that
it is deaf, keeps trying, and hears again by itself.

PortAudio runs in a process of its own (`dictate.audio.capture`). What it prints cannot tear
the screen, a driver that hangs or crashes is ended with it, and a fresh process sees
microphones that were plugged in later, which PortAudio alone does not.
"""

from __future__ import annotations

import queue
import threading
import time
from collections.abc import Callable, Iterable, Iterator
from typing import Protocol

import numpy as np

from dictate.audio.framing import Converter, Framer
from dictate.audio.hearing import Hearing, Status
from dictate.audio.source import FRAME, RATE, Frame, Samples
from dictate.child_process import Child, ChildGoneError, Message
from dictate.errors import AudioError

DEAF_AFTER_S = 1.0
"""Without a block for this long the microphone counts as deaf; blocks come every 32 ms."""
FIRST_S = 5.0
"""The first block may take this long: a sound server that wakes up took 2 s."""
BUSY_AFTER_S = 1.5
"""A reader that takes longer over one frame counts as hung until it comes back."""
BEHIND_S = 2.0
"""A reader that lets more sound than this wait counts as too slow."""
BUFFER_S = 30.0
"""Sound kept for a slow reader; beyond it (and 10 s in the capture) speech is lost."""
MUTED_AFTER_S = 30.0
"""Nothing but zeros for this long: no live microphone is that quiet."""
OPEN_S = 6.0
"""Opening may take this long, starting the process included."""
_TICK_S = 0.1
_RETRY_S = (0.25, 0.5, 1.0, 2.0)
_SETTLE_S = 5.0
"""How long a lost default microphone is awaited before another default is taken."""
_PAUSE_S = 1.5
"""Silence handed on when hearing is lost, so that the sentence it cut off is ended."""
_DEAL_S = 0.6
_CLOSE_S = 3.0
_MUTED = f"nothing but silence for {MUTED_AFTER_S:g} s; is the microphone muted?"


class Capture(Protocol):
    """A process that listens; see `dictate.audio.capture` for its messages."""

    def receive(self, timeout_s: float) -> Message | None:
        """The next message, None when none came in time. Raises ChildGoneError."""

    def stop(self) -> None:
        """End it, by force if need be."""


class ResilientMicrophone:
    """Frames from a microphone, through every fault of it. Loss is told in `Frame.lost`.

    `start_s` follows the clock on the wall, through gaps too. `on_change` is called with each
    new `Hearing`, by a thread of the microphone or the reader's; it must return at once.
    """

    def __init__(
        self,
        device: str | None = None,
        on_change: Callable[[Hearing], None] | None = None,
        start_capture: Callable[[str | None], Capture] | None = None,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        """Start listening to `device` (a name or a part of it), the default when None."""
        self.name = device or "microphone"
        self.hearing = Hearing(Status.DEAF, "the microphone is being opened")
        self.settled = threading.Event()
        """Set once the first attempt to open has succeeded or failed."""
        self._device = device
        self._on_change = on_change or (lambda hearing: None)
        self._start_capture = start_capture or _start_capture
        self._clock = clock
        self._frames: queue.Queue[Frame] = queue.Queue(round(BUFFER_S * RATE / FRAME))
        self._framer = Framer()
        self._origin: float | None = None
        self._deaf_since: float | None = None
        self._busy_since: float | None = None
        self._idle = threading.Event()
        self._tell_again = False
        self._fault: Exception | None = None
        self._closed = threading.Event()
        self._thread = threading.Thread(target=self._run, name="microphone", daemon=True)
        self._thread.start()

    @property
    def backlog_s(self) -> float:
        """Seconds of sound that wait to be taken."""
        return self._frames.qsize() * FRAME / RATE

    def frames(self) -> Iterator[Frame]:
        """Frames until `close`, then those still waiting. While deaf it blocks."""
        while (frame := self._next()) is not None:
            self._busy_since = self._clock()
            yield frame
            self._busy_since = None
        if self._fault is not None:
            raise AudioError(
                f"listening has failed ({self._fault}); save, then start again"
            ) from self._fault

    def close(self) -> None:
        """Stop; may be called from any thread, and twice."""
        self._closed.set()
        if threading.current_thread() is not self._thread:
            self._thread.join(_CLOSE_S)

    def _next(self) -> Frame | None:
        while True:
            ended = not self._thread.is_alive()
            try:
                return self._frames.get(timeout=0 if ended else _TICK_S)
            except queue.Empty:
                self._is_idle()
                if ended:
                    return None

    def _is_idle(self) -> None:
        """The reader has dealt with all there was, and waits."""
        self._idle.set()
        if self._tell_again:
            self._tell_again = False
            self._on_change(self.hearing)

    def _run(self) -> None:
        failures = 0
        try:
            while not self._closed.is_set():
                heard_until = self._framer.position
                why = self._listen_once()
                if self._closed.is_set():
                    return
                failures = 0 if self._framer.position > heard_until else failures + 1
                self._go_deaf(why)
                self.settled.set()
                self._closed.wait(_RETRY_S[min(failures, len(_RETRY_S) - 1)])
        except Exception as error:
            # A fault of our own: the screen must not go on saying that it listens.
            self._fault = error
            self._change(Status.DEAF, f"listening has failed ({error})")
        finally:
            self.settled.set()

    def _listen_once(self) -> str:
        """Open, then hand on what is heard until it ends; tells why it ended."""
        capture = self._start_capture(self._wanted())
        try:
            ready = capture.receive(OPEN_S)
            if ready is None:
                return "the sound system does not answer; restart it, or unplug the microphone"
            if "ready" not in ready.head:
                return str(ready.head.get("error", "the microphone cannot be opened"))
            return self._hear(capture, **ready.head["ready"])
        except ChildGoneError as error:
            return f"the sound system broke off ({error})"
        finally:
            capture.stop()

    def _hear(self, capture: Capture, device: str, rate: int, channels: int) -> str:
        converter = Converter(rate, channels)
        notice = self._notice_of_change(device)
        heard_at = loud_at = self._clock()
        opening = True
        while not self._closed.is_set():
            message = capture.receive(_TICK_S)
            now = self._clock()
            if message is None:
                patience = FIRST_S if opening else DEAF_AFTER_S
                if now - heard_at > patience:
                    return f"no sound has come for {patience:g} s; is it unplugged?"
            elif "error" in message.head:
                return str(message.head["error"])
            else:
                samples = converter.convert(message.body)
                heard_at, loud_at = now, now if samples.any() else loud_at
                if opening:
                    self._opened(device, now, len(samples))
                    opening = False
                self._put_all(self._framer.gap(converter.lost(message.head["lost"])))
                self._put_all(self._framer.push(samples))
            if not opening:
                self._tell(notice if now - loud_at < MUTED_AFTER_S else _MUTED)
        return "closed"

    def _opened(self, device: str, now: float, samples: int) -> None:
        self.name = device
        self._deaf_since = None
        if self._origin is None:
            self._origin = now - samples / RATE
        self._put_all(self._framer.gap(self._missing(now) - samples))
        self._change(Status.LISTENING, device=device)
        self.settled.set()

    def _go_deaf(self, why: str) -> None:
        if self._deaf_since is None:
            self._deaf_since = self._clock()
            if self._origin is not None:
                self._end_the_sentence(self._missing(self._deaf_since))
        self._change(Status.DEAF, why)

    def _end_the_sentence(self, missing: int) -> None:
        """Hand on the loss and a silence; done when the reader has dealt with them.

        A reader takes frames for a sign that all is well, so deafness is told after them:
        at once if the reader is quick, a second time if it is not.
        """
        self._idle.clear()
        self._put_all(self._framer.gap(max(FRAME, missing)))
        # A microphone that comes and goes must not run ahead of the clock.
        self._put_all(self._framer.push(_silence(_PAUSE_S + min(0, missing) / RATE)))
        self._tell_again = not self._idle.wait(_DEAL_S)

    def _missing(self, now: float) -> int:
        """Samples that the clock is ahead of what was heard or told as lost."""
        assert self._origin is not None
        return round((now - self._origin) * RATE) - self._framer.position

    def _wanted(self) -> str | None:
        """The device asked for; else the default, but the one heard before for a while."""
        if self._device is not None or not self.hearing.device:
            return self._device
        if self._deaf_since is not None and self._clock() - self._deaf_since >= _SETTLE_S:
            return None
        return self.hearing.device

    def _notice_of_change(self, device: str) -> str:
        before = self.hearing.device
        if not before or before == device:
            return ""
        return f"now listening to '{device}', no longer to '{before}'"

    def _put_all(self, frames: Iterable[Frame]) -> None:
        for frame in frames:
            while not self._closed.is_set():
                try:
                    self._frames.put(frame, timeout=_TICK_S)
                    break
                except queue.Full:
                    self._tell("")

    def _tell(self, notice: str) -> None:
        """Report whether the reader keeps up; `notice` is shown while it does."""
        busy = self._busy_since
        if busy is not None and self._clock() - busy > BUSY_AFTER_S:
            self._change(Status.BEHIND, "the speech engine does not answer")
        elif self.backlog_s > BEHIND_S:
            self._change(Status.BEHIND, "speech is kept, but the engine has not come to it yet")
        else:
            self._change(Status.LISTENING, notice)

    def _change(self, status: Status, why: str = "", device: str | None = None) -> None:
        hearing = Hearing(status, why, self.hearing.device if device is None else device)
        if hearing != self.hearing:
            self.hearing = hearing
            self._on_change(hearing)


def _silence(seconds: float) -> Samples:
    return np.zeros(max(0, round(seconds * RATE)), np.int16)


def _start_capture(device: str | None) -> Child:
    return Child("dictate.audio.capture", *(["--device", device] if device else []))
