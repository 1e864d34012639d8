"""From the listening thread to the screen: everything arrives as a message, nothing blocks.

Levels and partial words come many times a second. Only the newest of each waits to be shown,
so that a slow terminal is never flooded; utterances are all passed on, in order.
"""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import dataclass

from textual.message import Message

from dictate.audio.endpointer import SpeechStart
from dictate.audio.level import Level
from dictate.pipeline.listening import Behind, Deaf, Ended
from dictate.speech.heard import Partial, Utterance
from dictate.speech.listener import ListenEvent, Lost, NotUnderstood


class Soundings(Message):
    """Newer level or partial words are waiting in the bridge."""


@dataclass
class UtteranceHeard(Message):
    """Someone said something."""

    utterance: Utterance
    began_at: float | None
    """When it began on the screen's clock, in seconds; None when that is not known."""


@dataclass
class SpeechLost(Message):
    """Something may have been said of which no word is known."""

    why: str
    start_s: float
    end_s: float
    """On the clock of the listening, in seconds."""
    began_at: float | None
    """When it began on the screen's clock; None when that is not known."""


@dataclass
class HearingBehind(Message):
    """Sound waits for the speech engine, or does so no more."""

    busy: bool


@dataclass
class HearingLost(Message):
    """The program is deaf; it may hear again later."""

    why: str


class HearingEnded(Message):
    """The recording is over."""


class Bridge:
    """Called by the listening thread (`report`), read by the screen (`take`)."""

    def __init__(self, post: Callable[[Message], bool], clock: Callable[[], float]) -> None:
        self._post = post
        self._clock = clock
        self._lock = threading.Lock()
        self._level: Level | None = None
        self._partial: Partial | None = None
        self._waiting = False
        self._offset: float | None = None
        self.last_sound: float | None = None
        """When the listening thread last gave a sign of life, on the screen's clock."""

    def report(self, event: ListenEvent | Deaf | Behind | Ended) -> None:
        """Take an event of the listening thread; any thread may call it."""
        self.last_sound = self._clock()
        match event:
            case Level() | Partial():
                self._keep_newest(event)
            case SpeechStart(start_s=start_s):
                self._keep_newest(Partial("", start_s))
            case Utterance():
                self._pass_on(event)
            case NotUnderstood(start_s=start_s, end_s=end_s):
                self._miss("something was said, but no word of it was understood", start_s, end_s)
            case Lost(at_s=at_s, seconds=seconds):
                why = f"{seconds:.1f} s of sound never arrived: say it again"
                self._miss(why, at_s, at_s + seconds)
            case Behind(why=late):
                self._post(HearingBehind(late is not None))
            case Deaf(why=why):
                self._post(HearingLost(why))
            case Ended():
                self._post(HearingEnded())

    def take(self) -> tuple[Level | None, Partial | None]:
        """The newest level and partial words since the last call, None where there are none."""
        with self._lock:
            level, partial = self._level, self._partial
            self._level = self._partial = None
            self._waiting = False
        return level, partial

    def _keep_newest(self, event: Level | Partial) -> None:
        with self._lock:
            if isinstance(event, Level):
                self._level = event
                self._offset = self._clock() - event.at_s
            else:
                self._partial = event
            post, self._waiting = not self._waiting, True
        if post:
            self._post(Soundings())

    def _pass_on(self, utterance: Utterance) -> None:
        self._post(UtteranceHeard(utterance, self._over(utterance.start_s)))

    def _miss(self, why: str, start_s: float, end_s: float) -> None:
        self._post(SpeechLost(why, start_s, end_s, self._over(start_s)))

    def _over(self, start_s: float) -> float | None:
        """An utterance is over: when it began on the screen's clock, if that is known."""
        with self._lock:
            self._partial = None
            offset = self._offset
        return None if offset is None else start_s + offset
