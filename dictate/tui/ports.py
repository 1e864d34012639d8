"""What the screen needs of the rest of the program, and nothing more."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Protocol

from dictate.exam.session import Session
from dictate.export.extras import Extras
from dictate.pipeline.listening import Report as Report


class Listening(Protocol):
    """A thread that listens and reports. Made idle; `start` and `stop` are called once each."""

    def start(self) -> None:
        """Begin to load and listen; returns at once."""

    def stop(self) -> None:
        """Ask it to end; returns without waiting for a model that is still loading."""


ListeningFactory = Callable[[Report], Listening]
"""Given where to report (any thread may call that), a listening made but not started."""

Writer = Callable[[Session, Extras], str | bytes]
"""Makes the document of a session. One with a true attribute `binary` takes its time."""
Writers = Mapping[str, Writer]
"""Ending of a file ("txt", "pdf", "letter.pdf") to what makes the document."""
