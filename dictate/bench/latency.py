"""How long after the last word a finding appears, on a clock that runs like a microphone's."""

from __future__ import annotations

import time
from collections.abc import Iterator, Sequence

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
    """

    def __init__(self, samples: Samples) -> None:
        self._samples = samples
        self._free_s = 0.0
        self._since = 0.0
        self.arrived_s = 0.0
        """When the frame being worked on came from the microphone."""

    def frames(self) -> Iterator[Frame]:
        for start in range(0, len(self._samples) - FRAME + 1, FRAME):
            self.arrived_s = (start + FRAME) / RATE
            self._free_s = max(self._free_s, self.arrived_s)
            self._since = time.perf_counter()
            yield Frame(self._samples[start : start + FRAME], start / RATE)
            self._free_s = self.now_s()

    def now_s(self) -> float:
        """Seconds since the first sample left the speaker's mouth."""
        return self._free_s + time.perf_counter() - self._since


def measure(chain: Chain, clips: Sequence[Clip]) -> Figures:
    """Median and 95th percentile, from the last word and from the moment the endpoint is heard.

    Also how many clips the endpointer cut in two, and in how many it heard nothing.
    """
    times = [_stream(chain, clip) for clip in clips]
    return {
        "clips": len(clips),
        "after_speech_s": _spread([each[-1][0] for each in times if each]),
        "after_endpoint_s": _spread([each[-1][1] for each in times if each]),
        "clips_cut": sum(len(each) > 1 for each in times),
        "clips_unheard": sum(not each for each in times),
    }


def _stream(chain: Chain, clip: Clip) -> list[tuple[float, float]]:
    """For each utterance heard: seconds since the clip's last word, and since its endpoint."""
    quiet = np.random.default_rng(1).standard_normal(int(AFTER_S * RATE)) * 3e-4
    clock = _Clock(as_int16(np.concatenate([clip.samples, quiet]).astype(np.float32)))
    spoken_s = clip.seconds - TAIL_S
    times = []
    for event in listen(clock.frames(), chain.recogniser, Endpointer()):
        if isinstance(event, Utterance):
            chain.act(chain.tidy(event), clip.sentence.where.context())
            ready_s = clock.now_s()
            times.append((ready_s - spoken_s, ready_s - clock.arrived_s))
    return times


def _spread(seconds: Sequence[float]) -> Figures:
    if not seconds:
        return {"median": None, "p95": None}
    median, high = np.percentile(seconds, [50, 95])
    return {"median": round(float(median), 3), "p95": round(float(high), 3)}
