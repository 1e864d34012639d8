"""Runs the installed command in a process of its own, as a person or a program would."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Any

START = "import sys; from dictate.cli import main; main(sys.argv[1:])"


@dataclass(frozen=True)
class Ran:
    """What came of it."""

    code: int
    out: str
    err: str

    @property
    def json(self) -> Any:
        return json.loads(self.out)


def dictate(
    *arguments: str | Path, home: Path | None = None, answers: str = "", timeout_s: float = 240
) -> Ran:
    """Run `dictate` with these arguments; `answers` is what is typed."""
    env = os.environ | ({"DICTATE_HOME": str(home)} if home else {})
    done = subprocess.run(
        [sys.executable, "-c", START, *map(str, arguments)],
        input=answers,
        capture_output=True,
        text=True,
        env=env,
        timeout=timeout_s,
        check=False,
    )
    return Ran(done.returncode, done.stdout, done.stderr)


def assert_refused(ran: Ran, *words: str) -> None:
    """Bad input: exit code 2, nothing on stdout, one plain line on stderr holding the words."""
    assert ran.code == 2, ran
    assert ran.out == ""
    assert len(ran.err.strip().splitlines()) == 1, ran.err
    assert "Traceback" not in ran.err
    for word in words:
        assert word in ran.err
