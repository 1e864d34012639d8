"""A clinic's day of listening, as fast as the computer can: `python -m tests.clinic_day`.

The microphone follows a script on a simulated clock: a sentence every 30 s, each hour an
overflow and an unplugged cable, one hour of digital silence at noon. What is listened to goes
through the endpointer and, with `--engine packaged`, the real recogniser. For each hour it
prints the figures that must not grow: memory, the time taken, sound waiting, clock error.
"""

from __future__ import annotations

import argparse
import threading
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

from dictate.audio.hearing import Hearing, Status
from dictate.audio.resilient import ResilientMicrophone
from dictate.audio.source import FRAME, RATE, Frame, Samples
from dictate.audio.wav import open_recording
from dictate.child_process import Message
from dictate.speech.heard import Utterance
from dictate.speech.listener import Lost, NotUnderstood, listen
from dictate.speech.port import Recogniser
from tests.scripted_capture import BLOCK_S, Clock, Scripted, block, ready

EVERY_S = 30.0
UNPLUGGED = 3
"""Attempts to open that fail, 6 s each on the simulated clock."""
OVERFLOW = 10 * FRAME
RECORDINGS = Path(__file__).parents[1] / "recordings_synthetic" / "dev"


@dataclass
class Hour:
    """Figures of one simulated hour."""

    took_s: float = 0.0
    frames: int = 0
    utterances: int = 0
    lost_s: float = 0.0
    deaf: int = 0
    waiting_s: float = 0.0
    """The most sound that waited."""
    clock_error_s: float = 0.0
    """The most that a frame's time differed from the simulated clock."""
    memory_mb: float = 0.0

    def __str__(self) -> str:
        return (
            f"{self.took_s:6.1f} s  {self.frames:7} frames  {self.utterances:4} utterances  "
            f"{self.lost_s:6.1f} s lost  {self.deaf} x deaf  {self.waiting_s:4.1f} s waiting  "
            f"{self.clock_error_s:5.2f} s clock error  {self.memory_mb:6.1f} MB"
        )


@dataclass
class Deafened:
    """Stands for an engine: takes the sound, understands nothing."""

    name: str = "none"
    heard: int = field(default=0)

    def begin(self, start_s: float) -> None:
        self.heard = 0

    def hear(self, samples: Samples) -> None:
        self.heard += len(samples)

    def partial(self) -> str:
        return ""

    def finish(self) -> Utterance | None:
        return None

    def close(self) -> None:
        self.heard = 0


class Day:
    """A microphone on a simulated clock, and what becomes of its hours."""

    def __init__(self, hours: int, hour_s: float = 3600.0, every_s: float = EVERY_S) -> None:
        self.hours = [Hour() for _ in range(hours)]
        self.clock = Clock()
        self._hour_s = hour_s
        self._every_s = every_s
        self._speech = _spoken()
        noise = np.random.default_rng(1).normal(0, 12, FRAME).astype("<i2")
        self._quiet = Message({"lost": 0}, noise.tobytes())
        self._scripts = self._whole_day()
        self._microphone: ResilientMicrophone | None = None

    def run(self, recogniser: Recogniser) -> None:
        """Listen the whole day through."""
        self._microphone = ResilientMicrophone(None, self._on_change, self._start, self.clock)
        began = time.perf_counter()
        for event in listen(self._measured(self._microphone.frames()), recogniser):
            hour = self._now()
            if isinstance(event, Utterance | NotUnderstood):
                hour.utterances += 1
            elif isinstance(event, Lost):
                hour.lost_s += event.seconds
            hour.took_s += time.perf_counter() - began
            began = time.perf_counter()

    def _now(self) -> Hour:
        return self.hours[min(int(self.clock.now / self._hour_s), len(self.hours) - 1)]

    def _on_change(self, hearing: Hearing) -> None:
        # The first is the opening, and each cause of one deafness is told: count what was heard.
        if hearing.status is Status.LISTENING and not hearing.why and self.clock.now > 1:
            self._now().deaf += 1

    def _measured(self, frames: Iterator[Frame]) -> Iterator[Frame]:
        assert self._microphone is not None
        for frame in frames:
            hour = self._now()
            hour.frames += 1
            waiting = self._microphone.backlog_s
            hour.waiting_s = max(hour.waiting_s, waiting)
            if frame.samples.any():
                late = self.clock.now - frame.start_s - BLOCK_S - waiting
                hour.clock_error_s = max(hour.clock_error_s, abs(late))
            if hour.frames % 2000 == 0:
                hour.memory_mb = memory_mb()
            yield frame

    def _start(self, device: str | None) -> Scripted:
        script = next(self._scripts, None)
        if script is None:
            assert self._microphone is not None
            threading.Thread(target=self._microphone.close).start()
            script = iter([1e9])
        return Scripted(self.clock, self._paced(script))

    def _paced(self, script: Iterator[Message | float]) -> Iterator[Message | float]:
        for step in script:
            heard = isinstance(step, Message) and step.body
            while heard and (not self._microphone or self._microphone.backlog_s > 20 * BLOCK_S):
                time.sleep(0.0002)
            yield step

    def _whole_day(self) -> Iterator[Iterator[Message | float]]:
        for hour in range(len(self.hours)):
            noon = 0 < hour == len(self.hours) // 2
            sound = self._silence if noon else self._dictation
            until = hour * self._hour_s
            yield self._session(sound, until + 0.6 * self._hour_s, pulled=True)
            for _ in range(UNPLUGGED):
                yield iter([1e9])
            yield self._session(sound, until + self._hour_s, pulled=False)

    def _session(
        self, sound: Callable[[], Iterator[Message]], until: float, pulled: bool
    ) -> Iterator[Message | float]:
        yield ready()
        for step in sound():
            if self.clock.now >= until:
                break
            yield step
        yield block(9, lost=OVERFLOW)
        self.clock.now += OVERFLOW / RATE
        yield Message({"error": "the microphone stopped" if pulled else "opened anew"})

    def _silence(self) -> Iterator[Message]:
        while True:
            yield block(0)

    def _dictation(self) -> Iterator[Message]:
        turn = 0
        while True:
            spoken = self._speech[turn % len(self._speech)]
            yield from spoken
            for _ in range(round(self._every_s / BLOCK_S) - len(spoken)):
                yield self._quiet
            turn += 1


def memory_mb() -> float:
    """Memory that this process holds now (not its peak)."""
    pages = int(Path("/proc/self/statm").read_text().split()[1])
    return pages * 4096 / 1e6


def _spoken() -> list[list[Message]]:
    """Some recordings as a microphone would give them."""
    found = sorted(RECORDINGS.rglob("*.flac"))[:8]
    return [
        [Message({"lost": 0}, frame.samples.tobytes()) for frame in open_recording(path).frames()]
        for path in found
    ]


def main() -> None:
    """Print the figures of each hour."""
    parser = argparse.ArgumentParser(prog="tests.clinic_day")
    parser.add_argument("--hours", type=int, default=8)
    parser.add_argument("--engine", choices=["packaged"])
    arguments = parser.parse_args()
    recogniser: Recogniser = Deafened()
    if arguments.engine:
        from dictate.speech.engines import choose_engine
        from dictate.vocabulary.loader import load

        recogniser = choose_engine(arguments.engine, None, load())
    day = Day(arguments.hours)
    day.run(recogniser)
    recogniser.close()
    for number, hour in enumerate(day.hours, 1):
        print(f"hour {number}: {hour}")


if __name__ == "__main__":
    main()
