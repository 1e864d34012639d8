"""Whether the program hears, as the screen tells it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

HearingState = Literal["loading", "listening", "deaf", "ended", "keyboard"]

_SILENT = (
    "nothing comes from the microphone or the speech engine; "
    "check the microphone. The keyboard goes on working"
)
SILENT_AFTER_S = 1.5
"""Seconds without any sign of life from the listening thread that count as deaf.

A microphone gives about thirty frames a second even in silence.
"""


@dataclass(frozen=True, slots=True)
class Hearing:
    """The state of hearing, apart from a pause that was asked for."""

    state: HearingState
    why: str | None = None
    """For "deaf": the cause and what to do."""
    busy: bool = False
    """True while sound is kept that the speech engine has not come to yet."""
    speaking: bool = False
    """True while the program itself reads aloud and does not listen."""

    def heard_something(self) -> Hearing:
        """A sign of life came: after deafness too, hearing is back."""
        if self.state in ("loading", "deaf"):
            return replace(self, state="listening", why=None)
        return self

    def lost(self, why: str) -> Hearing:
        return replace(self, state="deaf", why=why, busy=False)

    def behind(self, busy: bool) -> Hearing:
        """The microphone is open and nothing is lost, though the engine may lag."""
        if busy and self.state == "deaf":
            return replace(self, state="listening", why=None, busy=True)
        return replace(self, busy=busy)

    def ended(self) -> Hearing:
        return replace(self, state="ended", why=None)

    def speaks(self, speaking: bool) -> Hearing:
        return replace(self, speaking=speaking)

    def watched(self, now: float, last_sound: float | None) -> Hearing:
        """Deaf if the listening thread has fallen silent though nobody said why."""
        stale = last_sound is not None and now - last_sound > SILENT_AFTER_S
        if self.state == "listening" and stale and not self.busy:
            return self.lost(_SILENT)
        return self

    def mark(self, paused: bool) -> str:
        """Key of LISTENING_MARKS for the status line."""
        if self.state != "listening":
            return self.state
        if self.speaking or paused:
            return "speaking" if self.speaking else "paused"
        return "behind" if self.busy else "listening"
