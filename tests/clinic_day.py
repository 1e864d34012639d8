"""A clinic's day of listening, as fast as the computer can: `python -m tests.clinic_day`.

The microphone follows a script on a simulated clock: a sentence every 30 s, each hour an
overflow and an unplugged cable, one hour of digital silence at noon. What is listened to goes
through the endpointer and, with `--engine packaged`, the real recogniser and the matcher, a new
examination every ten minutes. For each hour it prints, as soon as it is over, the figures that
must not grow: memory, latency, the time taken, sound waiting, clock error.

Nearly all its time goes into the voice-activity model, which the program asks about every frame,
silence too. `--quick` asks it no more about a frame that is the same as the two seconds before it,
and takes its last answer.
"""

from __future__ import annotations

import argparse
import threading
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from statistics import median

import numpy as np

from dictate.audio.endpointer import Endpointer
from dictate.audio.hearing import Hearing, Status
from dictate.audio.resilient import ResilientMicrophone
from dictate.audio.source import FRAME, RATE, Frame, Samples
from dictate.audio.voice import VoiceActivity, packaged_voice_activity
from dictate.audio.wav import open_recording
from dictate.child_process import Message
from dictate.pipeline.text import unkept
from dictate.speech.engines import choose_engine
from dictate.speech.heard import Utterance
from dictate.speech.listener import Lost, NotUnderstood, listen
from dictate.speech.port import Recogniser
from dictate.vocabulary.loader import load
from dictate.vocabulary.schema import Lexicon
from tests.scripted_capture import BLOCK_S, Clock, Scripted, block, ready

EVERY_S = 30.0
SAME = 63
"""Frames: two seconds."""
PATIENT_S = 600.0
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
    findings: int = 0
    latencies_s: list[float] = field(default_factory=list)
    """From the frame that ended each utterance to its words, on this computer."""
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
            f"{self.findings:4} findings  latency {self.latency_s:5.3f} s, at most "
            f"{max(self.latencies_s, default=0):5.3f} s  "
            f"{self.lost_s:6.1f} s lost  {self.deaf} x deaf  {self.waiting_s:4.1f} s waiting  "
            f"{self.clock_error_s:5.2f} s clock error  {self.memory_mb:6.1f} MB"
        )

    @property
    def latency_s(self) -> float:
        """Their median; 0 where nothing was said."""
        return median(self.latencies_s) if self.latencies_s else 0.0


class Steady:
    """The voice-activity model, not asked about what has been the same for two seconds."""

    def __init__(self, voice: VoiceActivity) -> None:
        self._voice = voice
        self._last, self._same, self._answer = b"", 0, 0.0

    def __call__(self, samples: Samples) -> float:
        sound = samples.tobytes()
        self._same = self._same + 1 if sound == self._last else 0
        if self._same < SAME:
            self._last, self._answer = sound, self._voice(samples)
        return self._answer


class Findings:
    """Counts what is found in what is heard; a patient stays ten minutes."""

    def __init__(self, lexicon: Lexicon) -> None:
        self._lexicon = lexicon
        self._examination, self._until = unkept(lexicon), PATIENT_S

    def hear(self, utterance: Utterance) -> int:
        """How many findings these words made."""
        if utterance.start_s > self._until:
            self._examination, self._until = unkept(self._lexicon), utterance.start_s + PATIENT_S
        before = len(self._examination.session.findings)
        self._examination.hear(utterance)
        return max(0, len(self._examination.session.findings) - before)


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
        self._handed = 0.0

    def run(
        self,
        recogniser: Recogniser,
        *,
        quick: bool = False,
        findings: Findings | None = None,
        over: Callable[[int, Hour], None] = lambda _number, _hour: None,
    ) -> None:
        """Listen the whole day through; `over` is told of each hour as it ends."""
        self._microphone = ResilientMicrophone(None, self._on_change, self._start, self.clock)
        voice = packaged_voice_activity()
        endpointer = Endpointer(Steady(voice) if quick else voice)
        began, told = time.perf_counter(), 0
        for event in listen(self._measured(self._microphone.frames()), recogniser, endpointer):
            hour = self._now()
            while self.hours[told] is not hour:
                over(told + 1, self.hours[told])
                told += 1
            if isinstance(event, Utterance | NotUnderstood):
                hour.utterances += 1
                hour.latencies_s.append(time.perf_counter() - self._handed)
                if findings and isinstance(event, Utterance):
                    hour.findings += findings.hear(event)
            elif isinstance(event, Lost):
                hour.lost_s += event.seconds
            hour.took_s += time.perf_counter() - began
            began = time.perf_counter()
        for number in range(told, len(self.hours)):
            over(number + 1, self.hours[number])

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
            self._handed = time.perf_counter()
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
                time.sleep(0.002)
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


def drift(hours: Sequence[Hour]) -> str:
    """The last hour with speech beside the first whole one: what grew."""
    spoken = [each for each in hours if each.latencies_s]
    if len(spoken) < 2:
        return "drift: one hour tells none"
    first, last = spoken[0], spoken[-1]
    return (
        f"drift: memory {last.memory_mb - first.memory_mb:+.1f} MB, "
        f"latency {last.latency_s - first.latency_s:+.3f} s, "
        f"clock error {last.clock_error_s - first.clock_error_s:+.2f} s"
    )


def main() -> None:
    """Print the figures of each hour, and what grew."""
    parser = argparse.ArgumentParser(prog="tests.clinic_day")
    parser.add_argument("--hours", type=int, default=8)
    parser.add_argument("--engine", choices=["packaged"])
    parser.add_argument("--quick", action="store_true")
    arguments = parser.parse_args()
    recogniser: Recogniser = Deafened()
    findings = None
    if arguments.engine:
        lexicon = load()
        recogniser, findings = choose_engine(arguments.engine, None, lexicon), Findings(lexicon)
    day = Day(arguments.hours)
    day.run(
        recogniser,
        quick=arguments.quick,
        findings=findings,
        over=lambda number, hour: print(f"hour {number}: {hour}", flush=True),
    )
    recogniser.close()
    print(drift(day.hours))


if __name__ == "__main__":
    main()
