"""A whole session in one process, with every Python-level use of a socket written down.

`python -m tests.whole_session HOME RECORDING OUT`: a recording is replayed and kept, text is read,
an examination is held on the screen, the record is reviewed, signed, and exported in every format;
at the end OUT holds one line of JSON: what was done, and each socket event as `sys.addaudithook`
tells it (but those of AF_UNIX, which reach no network).
"""

from __future__ import annotations

import asyncio
import contextlib
import io
import json
import socket
import sys
import time
from pathlib import Path

LATE_S = 12.0
"""Libraries that report their use wait before they do: the one that did took ten seconds."""
SEEN: list[str] = []
DONE: list[str] = []


def watch(event: str, arguments: tuple[object, ...]) -> None:
    if not event.startswith("socket.") or event == "socket.gethostname":
        return
    if event == "socket.__new__" and arguments[1] == socket.AF_UNIX:
        return
    given = arguments[0] if arguments else None
    if isinstance(given, socket.socket) and given.family == socket.AF_UNIX:
        return
    SEEN.append(f"{event} {arguments[1:]}")


def command(home: Path, *words: str, answers: str = "") -> str:
    """What the command prints. Raises AssertionError unless it succeeds."""
    from dictate.cli import main

    printed = io.TextIOWrapper(io.BytesIO(), "utf-8")
    sys.stdin = io.StringIO(answers)
    code: object = 0
    try:
        with contextlib.redirect_stdout(printed):
            main([*words, "--home", str(home)] if words[0] != "parse" else list(words))
    except SystemExit as ended:
        code = ended.code
    assert not code, (words, code)
    printed.flush()
    DONE.append(words[0])
    return bytes(printed.buffer.getbuffer()).decode("utf-8", "replace")


async def on_the_screen() -> None:
    """An examination by speech and keyboard, as far as a signed record."""
    from tests.tui_samples import PLAQUE, running

    async with running() as scene:
        await scene.say(PLAQUE)
        await scene.type_line("ulcer right buccal mucosa five millimetres")
        assert len(scene.session.findings) == 2
    DONE.append("exam")


def whole(home: Path, recording: Path) -> None:
    from dictate.export.formats import WRITERS

    command(home, "replay", str(recording), "--save")
    command(home, "parse", "ulcer left lateral tongue five millimetres", "--json")
    asyncio.run(on_the_screen())
    answers = "y\nrefer because a rule is met\n" * 40
    command(home, "review", "latest", "--examiner", "I. Fern", answers=answers)
    for form in (*WRITERS, "letter", "letter-text"):
        output = str(home / f"{form}.out")
        command(home, "export", "latest", "--format", form, "--output", output)
        assert Path(output).stat().st_size > 0
        DONE.append(form)
    command(home, "due")


if __name__ == "__main__":
    sys.addaudithook(watch)
    began = time.monotonic()
    whole(Path(sys.argv[1]), Path(sys.argv[2]))
    time.sleep(max(0.0, LATE_S - (time.monotonic() - began)))
    Path(sys.argv[3]).write_text(json.dumps({"done": DONE, "sockets": SEEN}), "utf-8")
