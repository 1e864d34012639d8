"""What other windows and the terminal after leaving can show: nothing that identifies anybody."""

from __future__ import annotations

import fcntl
import os
import pty
import re
import struct
import sys
import termios
from pathlib import Path

from tests.cli_runner import START
from tests.records_samples import beside, small_clinic
from tests.terminal import until
from tests.tui_samples import SMALL

PATIENT = "ROWAN-77"
COMMAND_TO_TERMINAL = re.compile(rb"\x1b\]([^\x07\x1b]*)")
"""An operating system command (ECMA-48, 8.3.89): OSC as xterm takes it, 0 to 2 set the title, 22
the shape of the pointer, 52 the clipboard."""
F9, ENTER, CTRL_Q = b"\x1b[20~", b"\r", b"\x11"


async def test_the_titles_name_nobody(tmp_path: Path) -> None:
    with small_clinic(tmp_path) as store:
        async with beside(store, SMALL) as scene:
            await scene.press("w", "enter")
            assert "P-1" in scene.shown()
            assert (scene.app.title, scene.app.sub_title) == ("Examination", "")
            titles = {(each.title, each.sub_title) for each in scene.app.screen_stack}
            assert titles == {(None, None)}


def test_no_title_is_set_and_nothing_of_the_record_is_left_on_the_terminal(tmp_path: Path) -> None:
    child, terminal = pty.fork()
    if child == 0:  # pragma: no cover
        env = os.environ | {"DICTATE_HOME": str(tmp_path), "TERM": "xterm-256color"}
        arguments = ["exam", "--no-mic", "--patient", PATIENT]
        os.execvpe(sys.executable, [sys.executable, "-c", START, *arguments], env)
    fcntl.ioctl(terminal, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 80, 0, 0))
    shown = until(child, terminal, re.compile(rb"0 findings.*Quit", re.DOTALL))
    assert PATIENT.encode() in shown
    for keys, answer in ((F9, b"Locked"), (CTRL_Q + ENTER, b"0 findings"), (CTRL_Q, b"Leave")):
        os.write(terminal, keys)
        found = until(child, terminal, re.compile(answer))
        assert answer in found
        shown += found
    os.write(terminal, b"y")
    shown += until(child, terminal, None)
    os.close(terminal)
    assert os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == 0
    assert set(COMMAND_TO_TERMINAL.findall(shown)) <= {b"22;default", b"22;text"}
    _, left, after = shown.rpartition(b"\x1b[?1049l")
    assert left
    assert b"Kept as draft" in after
    assert b"ROWAN" not in after
