"""Asks for a passphrase: from a terminal without showing it, or from a closed file.

It is never an argument, and never part of a message.
"""

from __future__ import annotations

import os
import stat
import sys
from pathlib import Path

import click

from dictate.cli.output import note
from dictate.errors import DictateError, StoreError

OPENS = "DICTATE_PASSPHRASE_FILE"
"""Names the file that holds the passphrase of the records."""
NEW = "DICTATE_NEW_PASSPHRASE_FILE"
"""Names the file that holds the one to change it to."""
PDF = "DICTATE_PDF_PASSPHRASE_FILE"
"""Names the file that holds the passphrase for a protected PDF."""


def known(prompt: str, variable: str = OPENS) -> str:
    """A passphrase that was set before. Raises StoreError where nobody can be asked."""
    given = from_file(variable)
    return given if given is not None else _typed(prompt, variable, twice=False)


def new(prompt: str, variable: str, warning: str = "") -> str:
    """A passphrase to set: asked for twice, after a warning.

    Raises StoreError where nobody can be asked.
    """
    given = from_file(variable)
    if given is None:
        _refuse_without_terminal(prompt, variable)
    if warning:
        note(warning)
    return given if given is not None else _typed(prompt, variable, twice=True)


def from_file(variable: str) -> str | None:
    """The first line of the file that the environment names; None where it names none.

    Raises DictateError for a file that others can read, or that cannot be read.
    """
    named = os.environ.get(variable)
    if not named:
        return None
    path = Path(named)
    try:
        with open(path, encoding="utf-8") as file:
            state = os.fstat(file.fileno())
            if not stat.S_ISREG(state.st_mode) or state.st_mode & 0o077:
                raise DictateError(
                    f"Others can read {path}, which holds a passphrase; `chmod 600` it, and "
                    "choose another passphrase if they may have read it."
                )
            line = file.readline().rstrip("\r\n")
    except OSError as error:
        raise DictateError(f"Cannot read {path} ({error.strerror}); check {variable}.") from None
    except UnicodeDecodeError:
        raise DictateError(f"{path} holds no text in UTF-8; write the passphrase anew.") from None
    if not line:
        raise DictateError(f"{path} is empty; write the passphrase into its first line.")
    return line


def has_terminal() -> bool:
    """True if somebody can be asked."""
    return sys.stdin.isatty()


def _refuse_without_terminal(prompt: str, variable: str) -> None:
    if not has_terminal():
        raise StoreError(
            f"{prompt}: nobody can be asked for it here; run it in a terminal, or name a file "
            f"that holds it in {variable}."
        )


def _typed(prompt: str, variable: str, *, twice: bool) -> str:
    _refuse_without_terminal(prompt, variable)
    typed: str = click.prompt(prompt, hide_input=True, confirmation_prompt=twice, err=True)
    return typed
