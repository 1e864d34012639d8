"""Files written for the user: never over another one, and for its owner's eyes alone."""

from __future__ import annotations

import os
from pathlib import Path

import click

from dictate.cli.output import LEAVES, note
from dictate.errors import DictateError

STDOUT = Path("-")


def put(content: bytes, path: Path, *, tell: bool = True) -> None:
    """Write a new file, or to stdout for "-", and say so. Raises DictateError."""
    if path == STDOUT:
        click.echo(content, nl=False)
        return
    try:
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with open(handle, "wb") as file:
            file.write(content)
    except FileExistsError:
        raise DictateError(f"{path} exists already; choose another name.") from None
    except OSError as error:
        raise DictateError(f"Cannot write {path}: {error.strerror}; choose another.") from None
    if tell:
        note(f"written to {path}, {LEAVES}")
