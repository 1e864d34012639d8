"""Runs a command in this process, which is faster, as a program without a terminal would."""

from __future__ import annotations

import os
import sys
from io import BytesIO, StringIO, TextIOWrapper
from pathlib import Path
from unittest.mock import patch

from dictate.cli import main
from tests.cli_runner import Ran


def inside(*arguments: str | Path, home: Path) -> Ran:
    """What `tests.cli_runner.dictate` gives, without a process of its own."""
    out, err = TextIOWrapper(BytesIO(), "utf-8"), StringIO()
    code = 0
    with (
        patch.multiple(sys, stdout=out, stderr=err, stdin=StringIO()),
        patch.dict(os.environ, {"DICTATE_HOME": str(home)}),
    ):
        try:
            main([str(each) for each in arguments])
        except SystemExit as end:
            code = int(end.code or 0)
        out.flush()
    return Ran(code, out.buffer.getvalue().decode("utf-8", "replace"), err.getvalue())  # type: ignore[attr-defined]
