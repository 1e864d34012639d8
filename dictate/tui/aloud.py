"""Reading back aloud through a speech synthesiser of the machine, when there is one."""

from __future__ import annotations

import shutil
import subprocess
from dataclasses import dataclass, field

from dictate.tui.plain import visible

_SPEAKERS: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("espeak-ng", ("-v", "en-gb", "-s", "150", "--stdin")),
    ("spd-say", ("--wait", "--pipe-mode")),
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
        """Begin to say `text`; returns at once. Does nothing without a synthesiser."""
        self.stop()
        if self.command is None:
            return
        self._process = subprocess.Popen(
            self.command,
            stdin=subprocess.PIPE,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            text=True,
        )
        assert self._process.stdin is not None
        try:
            self._process.stdin.write(visible(text) + "\n")
            self._process.stdin.close()
        except OSError:
            # The synthesiser died at once; the words are on the screen all the same.
            self.stop()

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
