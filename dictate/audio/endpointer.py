"""Where speech starts and ends in a stream of frames."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from dictate.audio.source import FRAME, RATE, Frame
from dictate.audio.voice import VoiceActivity, packaged_voice_activity

FRAME_S = FRAME / RATE


@dataclass(frozen=True, slots=True)
class SpeechStart:
    """Speech begins; the frames from `start_s` on follow as `Speech`."""

    start_s: float


@dataclass(frozen=True, slots=True)
class Speech:
    """A frame of the utterance, pauses inside it included."""

    frame: Frame


@dataclass(frozen=True, slots=True)
class Pause:
    """The speaker has fallen silent, perhaps only to breathe."""

    at_s: float


@dataclass(frozen=True, slots=True)
class Resume:
    """The speaker goes on within the same utterance."""

    at_s: float


@dataclass(frozen=True, slots=True)
class SpeechEnd:
    """The utterance is over; `end_s` is where its last voiced frame ended."""

    end_s: float
    split: bool = False
    """True if it was cut for its length alone: the next utterance goes straight on."""


SpeechEvent = SpeechStart | Speech | Pause | Resume | SpeechEnd


@dataclass(frozen=True, slots=True)
class EndpointSettings:
    """Times in seconds; probabilities 0 to 1."""

    on: float = 0.5
    """Probability that starts an utterance."""
    off: float = 0.35
    """Probability below which a frame is silent; lower than `on`, so that it does not chatter."""
    onset_s: float = 0.064
    """Voiced time that starts an utterance; shorter clicks do not."""
    preroll_s: float = 0.32
    """Sound kept from before the first voiced frame: soft consonants lie there."""
    pause_s: float = 0.192
    """Silence reported as a pause."""
    silence_s: float = 0.608
    """Silence that ends an utterance."""
    hurry_after_s: float = 12.0
    """From here on less and less silence suffices ..."""
    hurried_silence_s: float = 0.256
    """... down to this at `longest_s`."""
    longest_s: float = 20.0
    """An utterance without a pause is split here."""
    lookback_s: float = 3.0
    """The split falls on the quietest point of the last this many seconds."""


class Endpointer:
    """Cuts frames into utterances. Every frame of one is passed on, in order, just once.

    `silence_s` may be changed while an utterance runs, to wait longer for a speaker who
    paused in the middle of a sentence; it falls back to the setting at each end.
    """

    def __init__(
        self,
        voice: VoiceActivity | None = None,
        settings: EndpointSettings | None = None,
    ) -> None:
        self.settings = settings or EndpointSettings()
        self.silence_s = self.settings.silence_s
        self._voice = voice or packaged_voice_activity()
        self._before: deque[Frame] = deque(maxlen=_frames(self.settings.preroll_s))
        self._held: list[Frame] = []
        self._speaking = False
        self._paused = False
        self._voiced = 0
        self._start_s = 0.0
        self._last_voiced_s = 0.0

    def push(self, frame: Frame) -> Iterator[SpeechEvent]:
        """Events that this frame brings, in order."""
        probability = self._voice(frame.samples)
        if self._speaking:
            yield from self._go_on(frame, probability)
        else:
            yield from self._wait(frame, probability)

    def flush(self) -> Iterator[SpeechEvent]:
        """Events at the end of the stream: an utterance still running is ended."""
        if self._speaking:
            yield from self._end()
        self._before.clear()

    def _wait(self, frame: Frame, probability: float) -> Iterator[SpeechEvent]:
        self._before.append(frame)
        self._voiced = self._voiced + 1 if probability >= self.settings.on else 0
        if self._voiced < _frames(self.settings.onset_s):
            return
        self._speaking = True
        self._start_s = self._before[0].start_s
        self._last_voiced_s = frame.start_s + FRAME_S
        yield SpeechStart(self._start_s)
        for each in self._before:
            yield Speech(each)
        self._before.clear()

    def _go_on(self, frame: Frame, probability: float) -> Iterator[SpeechEvent]:
        now_s = frame.start_s + FRAME_S
        if probability >= self.settings.off:
            self._last_voiced_s = now_s
            if self._paused:
                self._paused = False
                yield Resume(frame.start_s)
        silent_s = now_s - self._last_voiced_s
        if silent_s >= self.settings.pause_s and not self._paused:
            self._paused = True
            yield from self._release()
            yield Pause(self._last_voiced_s)
        yield from self._pass_on(frame)
        length_s = now_s - self._start_s
        if silent_s >= self._needed(length_s):
            yield from self._end()
        elif length_s >= self.settings.longest_s:
            yield from self._split()

    def _pass_on(self, frame: Frame) -> Iterator[SpeechEvent]:
        longest = self.settings.longest_s - self.settings.lookback_s
        if frame.start_s - self._start_s >= longest and not self._paused:
            self._held.append(frame)
        else:
            yield Speech(frame)

    def _release(self) -> Iterator[SpeechEvent]:
        for frame in self._held:
            yield Speech(frame)
        self._held.clear()

    def _needed(self, length_s: float) -> float:
        """Silence that ends an utterance of this length, in seconds."""
        s = self.settings
        done = (length_s - s.hurry_after_s) / (s.longest_s - s.hurry_after_s)
        if done <= 0:
            return self.silence_s
        return self.silence_s + min(1.0, done) * min(0.0, s.hurried_silence_s - self.silence_s)

    def _end(self) -> Iterator[SpeechEvent]:
        yield from self._release()
        yield SpeechEnd(self._last_voiced_s)
        self._reset()

    def _split(self) -> Iterator[SpeechEvent]:
        """End at the quietest held frame and start the next utterance right after it."""
        if not self._held:
            yield from self._end()
            return
        at = _quietest(self._held) + 1
        first, rest = self._held[:at], self._held[at:]
        for frame in first:
            yield Speech(frame)
        cut_s = first[-1].start_s + FRAME_S
        yield SpeechEnd(cut_s, split=True)
        self._held = []
        self._start_s = cut_s
        self.silence_s = self.settings.silence_s
        yield SpeechStart(cut_s)
        for frame in rest:
            yield Speech(frame)

    def _reset(self) -> None:
        self._speaking = False
        self._paused = False
        self._voiced = 0
        self._held = []
        self.silence_s = self.settings.silence_s


def _frames(seconds: float) -> int:
    return max(1, round(seconds / FRAME_S))


def _quietest(frames: list[Frame]) -> int:
    """Index of the middle of the quietest three frames in a row."""
    power = np.array([np.mean(frame.samples.astype(np.float64) ** 2) for frame in frames])
    if len(power) < 3:
        return int(power.argmin())
    return 1 + int(np.convolve(power, np.ones(3), mode="valid").argmin())
