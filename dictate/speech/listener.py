"""Frames in, words out: joins endpointing to any recogniser. Knows neither screen nor card."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import Protocol, runtime_checkable

from dictate.audio.endpointer import (
    FRAME_S,
    Endpointer,
    Pause,
    Resume,
    Speech,
    SpeechEnd,
    SpeechEvent,
    SpeechStart,
)
from dictate.audio.level import Level, measure
from dictate.audio.source import RATE, Frame
from dictate.speech.heard import Partial, Utterance
from dictate.speech.port import Recogniser
from dictate.speech.unfinished import unfinished

PARTIAL_EVERY_S = 0.384
PATIENCE_S = 1.2
"""Silence that ends an utterance whose last word calls for more."""


@dataclass(frozen=True, slots=True)
class Lost:
    """Sound that never arrived: what was said then is not in the record."""

    at_s: float
    seconds: float


@dataclass(frozen=True, slots=True)
class NotUnderstood:
    """Speech, or what sounded like it, of which the recogniser made no word."""

    start_s: float
    end_s: float


ListenEvent = Level | Lost | SpeechStart | Partial | Utterance | NotUnderstood


@runtime_checkable
class ReadsAhead(Protocol):
    """A recogniser that can read a whole utterance before it is known to be over."""

    def prepare(self) -> str:
        """Words heard so far, read with full care; `finish` then costs nothing more."""


def listen(
    frames: Iterable[Frame],
    recogniser: Recogniser,
    endpointer: Endpointer | None = None,
    partial_every_s: float | None = PARTIAL_EVERY_S,
    patience_s: float = PATIENCE_S,
    levels: bool = True,
) -> Iterator[ListenEvent]:
    """Events of a stream, as they come; memory stays bounded whatever its length.

    Each frame brings its Level (unless `levels` is off). An utterance brings SpeechStart,
    then Partial every `partial_every_s` seconds (None: none), then Utterance or NotUnderstood.
    """
    listener = _Listener(recogniser, endpointer or Endpointer(), partial_every_s, patience_s)
    for frame in frames:
        if frame.lost:
            yield Lost(frame.start_s, frame.lost / RATE)
        if levels:
            yield measure(frame.samples, frame.start_s)
        yield from listener.take(frame)
    yield from listener.stop()


class _Listener:
    def __init__(
        self,
        recogniser: Recogniser,
        endpointer: Endpointer,
        partial_every_s: float | None,
        patience_s: float,
        clock: Callable[[], float] = time.perf_counter,
    ) -> None:
        self._recogniser = recogniser
        self._endpointer = endpointer
        self._every_s = partial_every_s
        self._patience_s = patience_s
        self._clock = clock
        self._start_s = 0.0
        self._next_partial_s = 0.0
        self._text = ""
        self._pausing = False
        self._silence: list[Frame] = []

    def take(self, frame: Frame) -> Iterator[ListenEvent]:
        for event in self._endpointer.push(frame):
            yield from self._handle(event)

    def stop(self) -> Iterator[ListenEvent]:
        for event in self._endpointer.flush():
            yield from self._handle(event)

    def _handle(self, event: SpeechEvent) -> Iterator[ListenEvent]:
        match event:
            case SpeechStart():
                yield from self._start(event)
            case Speech(frame=frame):
                yield from self._hear(frame)
            case Pause():
                yield from self._pause()
            case Resume():
                self._resume()
            case SpeechEnd():
                yield from self._end(event)

    def _start(self, event: SpeechStart) -> Iterator[ListenEvent]:
        self._start_s = event.start_s
        self._next_partial_s = event.start_s + (self._every_s or 0.0)
        self._text = ""
        self._recogniser.begin(event.start_s)
        yield event

    def _hear(self, frame: Frame) -> Iterator[ListenEvent]:
        # Silence is kept back: a reading made at the pause stays whole if nothing follows.
        if self._pausing:
            self._silence.append(frame)
            return
        self._recogniser.hear(frame.samples)
        if self._every_s is None or frame.start_s + FRAME_S < self._next_partial_s:
            return
        began = self._clock()
        text = self._recogniser.partial()
        # A slow machine gets fewer partials, so that it does not fall behind the speaker.
        cost_s = self._clock() - began
        self._next_partial_s = frame.start_s + FRAME_S + max(self._every_s, 1.5 * cost_s)
        yield from self._partial(text)

    def _pause(self) -> Iterator[ListenEvent]:
        self._pausing = True
        if not isinstance(self._recogniser, ReadsAhead):
            return
        text = self._recogniser.prepare()
        if unfinished(text):
            self._endpointer.silence_s = max(self._endpointer.silence_s, self._patience_s)
        if self._every_s is not None:
            yield from self._partial(text)

    def _resume(self) -> None:
        self._pausing = False
        for frame in self._silence:
            self._recogniser.hear(frame.samples)
        self._silence.clear()
        self._endpointer.silence_s = self._endpointer.settings.silence_s

    def _end(self, event: SpeechEnd) -> Iterator[ListenEvent]:
        self._pausing = False
        self._silence.clear()
        heard = self._recogniser.finish()
        yield heard if heard is not None else NotUnderstood(self._start_s, event.end_s)

    def _partial(self, text: str) -> Iterator[ListenEvent]:
        if text and text != self._text:
            self._text = text
            yield Partial(text, self._start_s)
