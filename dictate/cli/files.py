"""Files written for the user: never over another one, and for its owner's eyes alone."""

from __future__ import annotations

import os
from pathlib import Path

import click

from dictate.cli.output import LEAVES, note
from dictate.errors import DictateError

STDOUT = Path("-")


def put(content: bytes, path: Path, *, tell: bool = True, leaves: str = LEAVES) -> None:
    """Write a new file whole, or to stdout for "-", and say so. Raises DictateError."""
    if path == STDOUT:
        click.echo(content, nl=False)
        return
    try:
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        _fill(handle, content, path)
    except FileExistsError:
        raise DictateError(f"{path} exists already; choose another name.") from None
    except OSError as error:
        raise DictateError(f"Cannot write {path}: {error.strerror}; choose another.") from None
    if tell:
        note(f"written to {path}, {leaves}")


def _fill(handle: int, content: bytes, path: Path) -> None:
    """Half a file would be taken for a whole one: there is none when this fails."""
    try:
        with open(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(handle)
    except OSError:
        path.unlink(missing_ok=True)
        raise
