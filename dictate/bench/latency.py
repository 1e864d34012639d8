"""How long after the last word a finding appears, on a clock that runs like a microphone's."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from dictate.audio.endpointer import Endpointer
from dictate.audio.source import FRAME, RATE, Frame, Samples
from dictate.bench.clips import TAIL_S, Clip
from dictate.bench.figures import Figures
from dictate.bench.hearing import Chain, as_int16
from dictate.speech.heard import Utterance
from dictate.speech.listener import listen

AFTER_S = 2.0
"""Silence after each clip, for the endpointer to end it in."""


class _Clock:
    """Frames arrive as from a microphone; work that takes longer makes later ones wait.

    Nothing sleeps: the time that work took is added up, and a frame is never before its time.
    The work is measured by `timer`: the wall's clock, or the processor's own, which other
    programs on the same machine do not disturb.
    """

    def __init__(self, timer: Callable[[], float]) -> None:
        self._timer = timer
        self._free_s = 0.0
        self._since = 0.0
        self.arrived_s = 0.0
        """When the frame being worked on came from the microphone."""

    def deliver(self, arrived_s: float) -> None:
        """A frame comes, or waits until the work before it is done."""
        self.arrived_s = arrived_s
        self._free_s = max(self._free_s, arrived_s)
        self._since = self._timer()

    def done(self) -> None:
        """The work on that frame is over."""
        self._free_s = self.now_s()

    def now_s(self) -> float:
        """Seconds since the first sample left the speaker's mouth."""
        return self._free_s + self._timer() - self._since


class _Stream:
    """The frames of a clip, on both clocks."""

    def __init__(self, samples: Samples) -> None:
        self._samples = samples
        self.wall, self.cpu = _Clock(time.perf_counter), _Clock(time.process_time)

    def frames(self) -> Iterator[Frame]:
        for start in range(0, len(self._samples) - FRAME + 1, FRAME):
            for clock in (self.wall, self.cpu):
                clock.deliver((start + FRAME) / RATE)
            yield Frame(self._samples[start : start + FRAME], start / RATE)
            for clock in (self.wall, self.cpu):
                clock.done()


def measure(chain: Chain, clips: Sequence[Clip]) -> Figures:
    """Median and 95th percentile, from the last word and from the moment the endpoint is heard.

    Also how many clips the endpointer cut in two, and in how many it heard nothing.
    """
    times = [_stream(chain, clip) for clip in clips]
    last = [each[-1] for each in times if each]
    return {
        "clips": len(clips),
        "after_speech_s": _spread([each.after_speech_s for each in last]),
        "after_endpoint_s": _spread([each.after_endpoint_s for each in last]),
        "after_endpoint_cpu_s": _spread([each.after_endpoint_cpu_s for each in last]),
        "clips_cut": sum(len(each) > 1 for each in times),
        "clips_unheard": sum(not each for each in times),
    }


@dataclass(frozen=True, slots=True)
class _Times:
    after_speech_s: float
    after_endpoint_s: float
    after_endpoint_cpu_s: float


def _stream(chain: Chain, clip: Clip) -> list[_Times]:
    """For each utterance heard, how long its finding took."""
    quiet = np.random.default_rng(1).standard_normal(int(AFTER_S * RATE)) * 3e-4
    stream = _Stream(as_int16(np.concatenate([clip.samples, quiet]).astype(np.float32)))
    spoken_s = clip.seconds - TAIL_S
    times = []
    for event in listen(stream.frames(), chain.recogniser, Endpointer()):
        if isinstance(event, Utterance):
            chain.act(chain.tidy(event), clip.sentence.where.context())
            wall, cpu = stream.wall, stream.cpu
            times.append(
                _Times(
                    wall.now_s() - spoken_s,
                    wall.now_s() - wall.arrived_s,
                    cpu.now_s() - cpu.arrived_s,
                )
            )
    return times


def _spread(seconds: Sequence[float]) -> Figures:
    if not seconds:
        return {"median": None, "p95": None}
    median, high = np.percentile(seconds, [50, 95])
    return {"median": round(float(median), 3), "p95": round(float(high), 3)}
