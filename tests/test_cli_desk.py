"""`dictate desk` in a terminal, as a person runs it: opened, looked at, left."""

from __future__ import annotations

import os
import pty
import select
import subprocess
import sys
import time
from pathlib import Path

from tests.cli_runner import START
from tests.records_samples import small_clinic

PATIENCE_S = 60.0


class Terminal:
    """A pseudo-terminal of 80 columns and what was written to it."""

    def __init__(self, *arguments: str) -> None:
        self._ours, theirs = pty.openpty()
        env = os.environ | {"COLUMNS": "80", "LINES": "24", "TERM": "xterm-256color"}
        self.process = subprocess.Popen(
            [sys.executable, "-c", START, *arguments],
            stdin=theirs,
            stdout=theirs,
            stderr=theirs,
            env=env,
            start_new_session=True,
        )
        os.close(theirs)
        self.shown = ""

    def until(self, words: str) -> bool:
        """Read until the words were written."""
        end = time.monotonic() + PATIENCE_S
        while words not in self.shown and time.monotonic() < end:
            if select.select([self._ours], [], [], 0.2)[0]:
                try:
                    self.shown += os.read(self._ours, 65536).decode("utf-8", "replace")
                except OSError:  # the program has closed its side
                    break
        return words in self.shown

    def press(self, keys: str) -> None:
        os.write(self._ours, keys.encode())

    def close(self) -> int:
        """Its exit status; killed if it does not leave."""
        try:
            return self.process.wait(PATIENCE_S)
        except subprocess.TimeoutExpired:
            self.process.kill()
            raise
        finally:
            os.close(self._ours)


def test_the_desk_opens_the_worklist_and_is_left_by_key(tmp_path: Path) -> None:
    with small_clinic(tmp_path):
        pass
    terminal = Terminal("desk", "--no-mic", "--home", str(tmp_path))
    assert terminal.until("Rowan")
    assert "Worklist" in terminal.shown
    terminal.press("\x1b")
    assert terminal.until("find a patient, open visits and records")
    terminal.press("q")
    assert terminal.close() == 0
