"""Whether the microphone hears, and why not: what a screen shows of it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Status(StrEnum):
    """What becomes of a word spoken now."""

    LISTENING = "listening"
    """It is heard."""
    BEHIND = "behind"
    """It is kept, but the recogniser is busy, slow or hung."""
    DEAF = "deaf"
    """It is lost: nothing comes from the microphone."""


@dataclass(frozen=True, slots=True)
class Hearing:
    """One state of a microphone."""

    status: Status
    why: str = ""
    """The cause, fit to show; while listening, a warning ("muted?") or empty."""
    device: str = ""
    """The microphone's name as the system gives it; empty until it was first open."""
