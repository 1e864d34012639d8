"""The engine port: every recogniser looks like this to the rest of the program."""

from __future__ import annotations

from typing import Protocol

from dictate.audio.source import Samples
from dictate.speech.heard import Utterance


class Recogniser(Protocol):
    """Turns one utterance at a time into words. One thread owns it.

    Endpointing is not its job: `dictate.speech.listener` cuts the stream and calls
    `begin`, `hear` (any number of times), `partial` (now and then), and `finish`.
    """

    name: str

    def begin(self, start_s: float) -> None:
        """Start an utterance at `start_s` seconds from the start of the stream."""

    def hear(self, samples: Samples) -> None:
        """Take 16 kHz mono int16 samples that follow on from those before."""

    def partial(self) -> str:
        """The words so far, cheap enough to ask every 400 ms; may be revised."""

    def finish(self) -> Utterance | None:
        """End the utterance; None when nothing but noise was heard."""

    def close(self) -> None:
        """Free the model."""
