"""Runs the command on a terminal of its own, typing when it asks."""

from __future__ import annotations

import os
import pty
import re
import select
import signal
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from tests.cli_runner import START

PROMPT = re.compile(rb"[:>] $")
IDLE_S, LONGEST_S = 60.0, 900.0
"""A program that does nothing at all for so long will not go on; one that works may take its time,
however busy the machine is. A screen is never idle: it has an end all the same."""
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
        # A background job of a shell hands down that the interrupt key does nothing.
        signal.signal(signal.SIGINT, signal.SIG_DFL)
        os.execvpe(command[0], command, env)
    shown = b""
    for count, line in enumerate(typed, start=1):
        shown += until(child, terminal, PROMPT)
        if count == len(typed):
            look(child)
        os.write(terminal, f"{line}\n".encode())
    again = INTERRUPT if typed and typed[-1] == INTERRUPT.decode() else b""
    shown += until(child, terminal, None, again)
    os.close(terminal)
    _, status = os.waitpid(child, 0)
    return Shown(os.waitstatus_to_exitcode(status), shown.decode())


def until(child: int, terminal: int, end: re.Pattern[bytes] | None, again: bytes = b"") -> bytes:
    """What is shown up to a prompt, or to the end of the program.

    `again` is typed as often as it sits there and waits: a prompt discards what was typed just
    before it.
    """
    found, did, since = b"", "", time.monotonic()
    end_s = since + LONGEST_S
    while time.monotonic() < min(since + IDLE_S, end_s):
        if end is not None and end.search(found):
            return found
        if not select.select([terminal], [], [], 1.0)[0]:
            now = doing(child)
            if now != did or not now.startswith("S"):
                did, since = now, time.monotonic()
            elif again:
                os.write(terminal, again)
            continue
        try:
            data = os.read(terminal, 4096)
        except OSError:  # Linux says so when the other side is gone
            data = b""
        if not data:
            return found
        found, since = found + data, time.monotonic()
    raise AssertionError(f"nothing more came after {found!r}")


def doing(child: int) -> str:
    """Its state and the time that it has computed: proc(5), fields 3, 14 and 15 of `stat`."""
    fields = Path(f"/proc/{child}/stat").read_text().rpartition(")")[2].split()
    return f"{fields[0]} {fields[11]} {fields[12]}"
