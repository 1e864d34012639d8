"""Reading back aloud through a speech synthesiser of the machine, when there is one."""

from __future__ import annotations

import shutil
import subprocess
from collections.abc import Callable
from dataclasses import dataclass, field

from dictate.tui.plain import visible

_SPEAKERS: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("espeak-ng", ("-v", "en-gb", "-s", "150", "--stdin")),
    ("espeak", ("-v", "en-gb", "-s", "150", "--stdin")),
    ("say", ("-f", "-")),
)
"""Programs tried in order. The text goes in by standard input, never as an argument: other
users of the machine can read the arguments of a process."""


def find_speaker() -> tuple[str, ...] | None:
    """The command line of the first synthesiser on PATH; None when there is none."""
    for name, arguments in _SPEAKERS:
        path = shutil.which(name)
        if path is not None:
            return (path, *arguments)
    return None


@dataclass
class Aloud:
    """A voice that says one thing at a time; a new text cuts the old one short."""

    command: tuple[str, ...] | None = field(default_factory=find_speaker)
    _process: subprocess.Popen[str] | None = None

    @property
    def available(self) -> bool:
        return self.command is not None

    def start(self, text: str) -> None:
        """Begin to say `text`; returns at once. Does nothing without a synthesiser.

        When it fails there is silence: the words are on the screen all the same.
        """
        self.stop()
        if self.command is None:
            return
        try:
            self._process = _spoken(self.command, visible(text))
        except OSError:
            self._process = None

    def speaking(self) -> bool:
        """True while the voice is still talking."""
        return self._process is not None and self._process.poll() is None

    def stop(self) -> None:
        """Fall silent now."""
        process, self._process = self._process, None
        if process is None:
            return
        if process.poll() is None:
            process.kill()
        process.wait()


def _spoken(command: tuple[str, ...], text: str) -> subprocess.Popen[str]:
    process = subprocess.Popen(
        command,
        stdin=subprocess.PIPE,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        text=True,
        encoding="utf-8",
    )
    assert process.stdin is not None
    try:
        with process.stdin as pipe:
            pipe.write(text + "\n")
    except BrokenPipeError:
        process.wait()
    return process


class Reader:
    """Reading aloud as the screen needs it: switched on or off, and never heard as dictation."""

    def __init__(self, voice: Aloud, clock: Callable[[], float]) -> None:
        self.on = False
        self._voice, self._clock = voice, clock
        self._speaking = False
        self._silent_since = float("-inf")

    @property
    def available(self) -> bool:
        """True if the machine has a synthesiser."""
        return self._voice.available

    def read(self, text: str) -> None:
        """Say it when switched on; whatever was being said is cut short."""
        self.hush()
        if self.on and text:
            self._voice.start(text)
            self._speaking = self._voice.speaking()

    def hush(self) -> None:
        """Fall silent now."""
        self._voice.stop()
        self.speaking()

    def speaking(self) -> bool:
        """True while the voice talks; notes when it ended."""
        now = self._voice.speaking()
        if self._speaking and not now:
            self._silent_since = self._clock()
        self._speaking = now
        return now

    def drowned(self, began_at: float | None) -> bool:
        """True for an utterance that may hold the program's own voice."""
        return self.speaking() or (began_at is not None and began_at < self._silent_since)
