"""The listening thread: what it reports, and what it does when an engine or a source fails."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator

import numpy as np
import pytest

from dictate.audio.hearing import Hearing, Status
from dictate.audio.source import FRAME, RATE, AudioSource, Frame, Samples
from dictate.errors import AudioError, EngineError
from dictate.pipeline import listening
from dictate.pipeline.listening import Deaf, Ended, ListeningThread
from dictate.speech.heard import Utterance, typed
from dictate.speech.listener import ListenEvent
from dictate.speech.port import Recogniser


class Silence:
    """A source of so many frames of silence; `closed` ends it."""

    name = "silence"

    def __init__(self, count: int = 200) -> None:
        self._count = count
        self.closed = threading.Event()

    def frames(self) -> Iterator[Frame]:
        for index in range(self._count):
            if self.closed.is_set():
                return
            yield Frame(np.zeros(FRAME, np.int16), index * FRAME / RATE)

    def close(self) -> None:
        self.closed.set()


class Broken(Silence):
    """A source that raises after its frames."""

    def frames(self) -> Iterator[Frame]:
        yield from super().frames()
        raise AudioError("the microphone was unplugged; plug it in again")


class Deafened:
    """A recogniser that hears nothing."""

    name = "deafened"
    closed = 0

    def begin(self, start_s: float) -> None:
        pass

    def hear(self, samples: Samples) -> None:
        pass

    def partial(self) -> str:
        return ""

    def finish(self) -> Utterance | None:
        return typed("nothing")

    def close(self) -> None:
        type(self).closed += 1


def run(source: AudioSource, make: Callable[[], Deafened] = Deafened) -> list[object]:
    events: list[object] = []
    thread = ListeningThread(events.append, lambda _: source, make)
    thread.start()
    thread.join(30)
    return events


def test_a_source_that_ends_is_told() -> None:
    events = run(Silence())
    assert events[-1] == Ended()
    assert not [each for each in events if isinstance(each, Deaf)]


def test_a_source_that_fails_is_told_with_its_cause() -> None:
    assert run(Broken())[-1] == Deaf("the microphone was unplugged; plug it in again")


def test_a_source_that_cannot_be_opened_is_told() -> None:
    def refuse(_: Callable[[Hearing], None]) -> AudioSource:
        raise AudioError("there is no microphone; plug one in")

    events: list[object] = []
    thread = ListeningThread(events.append, refuse, Deafened)
    thread.start()
    thread.join(30)
    assert events == [Deaf("there is no microphone; plug one in")]


def test_a_model_that_does_not_load_is_told() -> None:
    def refuse() -> Deafened:
        raise AudioError("the model is broken; install it again")

    assert run(Silence(), refuse) == [Deaf("the model is broken; install it again")]


@pytest.mark.parametrize("error", [RuntimeError("out of luck"), EngineError("it is gone")])
def test_an_engine_that_throws_is_loaded_again_and_listening_goes_on(
    error: Exception, monkeypatch: pytest.MonkeyPatch
) -> None:
    made = 0
    real = listening.listen

    def listen(frames: Iterator[Frame], recogniser: Recogniser) -> Iterator[ListenEvent]:
        nonlocal made
        made += 1
        if made == 1:
            next(frames)
            raise error
        yield from real(frames, recogniser)

    monkeypatch.setattr(listening, "listen", listen)
    events = run(Silence())
    assert isinstance(events[0], Deaf)
    assert "loaded again" in events[0].why
    assert events[-1] == Ended()
    assert made == 2


def test_deafness_of_the_microphone_is_passed_on() -> None:
    def open_source(on_change: Callable[[Hearing], None]) -> AudioSource:
        on_change(Hearing(Status.DEAF, "unplugged"))
        return Silence(3)

    events: list[object] = []
    thread = ListeningThread(events.append, open_source, Deafened)
    thread.start()
    thread.join(30)
    assert events[0] == Deaf("unplugged")


def test_stop_ends_the_source_and_the_thread() -> None:
    source = Silence(10_000_000)
    thread = ListeningThread(lambda _: None, lambda _: source, Deafened)
    thread.start()
    thread.stop()
    thread.join(30)
    assert source.closed.is_set()
