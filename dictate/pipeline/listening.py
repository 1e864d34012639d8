"""A thread that loads an engine, listens to a source and reports what comes."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from dictate.audio.hearing import Hearing, Status
from dictate.audio.source import AudioSource, Frame
from dictate.errors import AudioError, DictateError
from dictate.speech.listener import ListenEvent, listen
from dictate.speech.port import Recogniser

RETRY_S, LONGEST_RETRY_S = 1.0, 10.0
"""An engine that fails again and again is loaded again after this much longer each time."""


@dataclass(frozen=True, slots=True)
class Deaf:
    """Nothing can be heard any more, and why."""

    why: str


@dataclass(frozen=True, slots=True)
class Behind:
    """Sound is kept, but the engine has not come to it yet; `why` None: it has caught up."""

    why: str | None


@dataclass(frozen=True, slots=True)
class Ended:
    """The recording is over."""


Report = Callable[[ListenEvent | Deaf | Behind | Ended], None]
Listen = Callable[[Callable[[Hearing], None]], AudioSource]
"""Opens the source; what it is given is called with each change of its hearing."""


class ListeningThread:
    """Made idle; `start` and `stop` are called once each, by any thread.

    The source is opened before the model loads, so that what is said meanwhile waits in its
    buffer. An engine that throws is told as Deaf, loaded anew, and listening goes on.
    """

    def __init__(
        self, report: Report, open_source: Listen, make_recogniser: Callable[[], Recogniser]
    ) -> None:
        self._report = report
        self._open_source = open_source
        self._make_recogniser = make_recogniser
        self._stopping = threading.Event()
        self._source: AudioSource | None = None
        self._thread = threading.Thread(target=self._run, name="listening", daemon=True)

    def start(self) -> None:
        self._thread.start()

    def stop(self) -> None:
        """Ask it to end; returns without waiting for a model that is still loading."""
        self._stopping.set()
        if self._source is not None:
            self._source.close()

    def join(self, timeout_s: float | None = None) -> None:
        """Wait for the thread to end."""
        self._thread.join(timeout_s)

    def _run(self) -> None:
        try:
            self._source = self._open_source(self._hearing)
            if not self._stopping.is_set():
                self._listen(self._source)
        except DictateError as error:
            self._tell(Deaf(str(error)))
        finally:
            if self._source is not None:
                self._source.close()

    def _listen(self, source: AudioSource) -> None:
        frames = source.frames()
        failures = 0
        while not self._stopping.is_set():
            recogniser = self._make_recogniser()
            try:
                self._hear_with(recogniser, frames)
            except AudioError:
                raise
            except Exception as error:  # an engine may throw anything; the exam must go on
                known = isinstance(error, DictateError)
                what = str(error) if known else type(error).__name__
                self._tell(Deaf(f"the speech engine failed ({what}); it is being loaded again"))
                self._stopping.wait(min(RETRY_S * failures, LONGEST_RETRY_S))
                failures += 1
            else:
                self._tell(Ended())
                return

    def _hear_with(self, recogniser: Recogniser, frames: Iterator[Frame]) -> None:
        try:
            for event in self._until_stopped(listen(frames, recogniser)):
                self._report(event)
        finally:
            recogniser.close()

    def _until_stopped(self, events: Iterator[ListenEvent]) -> Iterator[ListenEvent]:
        for event in events:
            if self._stopping.is_set():
                return
            yield event

    def _hearing(self, hearing: Hearing) -> None:
        if hearing.status is Status.DEAF:
            self._tell(Deaf(hearing.why))
        else:
            self._tell(Behind(hearing.why if hearing.status is Status.BEHIND else None))

    def _tell(self, event: Deaf | Behind | Ended) -> None:
        if not self._stopping.is_set():
            self._report(event)
