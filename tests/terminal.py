"""Runs the command on a terminal of its own, typing when it asks."""

from __future__ import annotations

import os
import pty
import re
import select
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from tests.cli_runner import START

PROMPT = re.compile(rb"[:>] $")
PATIENCE_S = 240.0
INTERRUPT = b"\x03"


@dataclass(frozen=True)
class Shown:
    """What came of it."""

    code: int
    text: str
    """Everything that the terminal showed, echo included."""


def on_terminal(
    *arguments: str | Path,
    typed: tuple[str, ...],
    home: Path,
    look: Callable[[int], None] = lambda _: None,
) -> Shown:
    """Run `dictate`, typing one line at each prompt; `look` gets its process id after the last."""
    child, terminal = pty.fork()
    if child == 0:  # pragma: no cover
        env = os.environ | {"DICTATE_HOME": str(home)}
        command = [sys.executable, "-c", START, *map(str, arguments)]
        os.execvpe(command[0], command, env)
    shown = b""
    for count, line in enumerate(typed, start=1):
        shown += until(terminal, PROMPT)
        if count == len(typed):
            look(child)
        os.write(terminal, f"{line}\n".encode())
    shown += until(terminal, None, again=INTERRUPT if typed and typed[-1] == "\x03" else b"")
    os.close(terminal)
    _, status = os.waitpid(child, 0)
    return Shown(os.waitstatus_to_exitcode(status), shown.decode())


def until(terminal: int, end: re.Pattern[bytes] | None, again: bytes = b"") -> bytes:
    """What is shown up to a prompt, or to the end of the program.

    `again` is typed as often as nothing comes: a prompt discards what was typed just before it.
    """
    found, limit = b"", time.monotonic() + PATIENCE_S
    while time.monotonic() < limit:
        if end is not None and end.search(found):
            return found
        if not select.select([terminal], [], [], 1.0 if again else 0.2)[0]:
            if again:
                os.write(terminal, again)
            continue
        try:
            data = os.read(terminal, 4096)
        except OSError:  # Linux says so when the other side is gone
            data = b""
        if not data:
            return found
        found += data
    raise AssertionError(f"nothing more came after {found!r}")
