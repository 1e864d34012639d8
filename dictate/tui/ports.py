"""What the screen needs of the rest of the program, and nothing more."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Protocol

from dictate.audio.level import Level
from dictate.exam.session import Session
from dictate.speech.heard import Partial, Utterance


@dataclass(frozen=True, slots=True)
class Deaf:
    """Nothing can be heard any more, and why."""

    why: str


@dataclass(frozen=True, slots=True)
class Ended:
    """The recording is over."""


HearingEvent = Level | Partial | Utterance | Deaf | Ended
Report = Callable[[HearingEvent], None]


class Listening(Protocol):
    """A thread that listens and reports. Made idle; `start` and `stop` are called once each."""

    def start(self) -> None:
        """Begin to load and listen; returns at once."""

    def stop(self) -> None:
        """Ask it to end; returns without waiting for a model that is still loading."""


ListeningFactory = Callable[[Report], Listening]
"""Given where to report (any thread may call that), a listening made but not started."""

Writers = Mapping[str, Callable[[Session], str]]
"""Ending of a file ("txt", "json") to what makes the document's text of a session."""
