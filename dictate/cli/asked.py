"""What names a patient may be given as "-": it is asked for then, or read from standard input.

The arguments of a program stand in the list of processes and in the shell's history.
"""

from __future__ import annotations

import sys

import click

FROM_INPUT = "-"


class Asked(click.ParamType[str]):
    """A text; for "-", one line that is typed, or of standard input where that is no terminal."""

    name = "text"

    def __init__(self, prompt: str) -> None:
        self._prompt = prompt

    def convert(self, value: str, param: click.Parameter | None, ctx: click.Context | None) -> str:
        if value != FROM_INPUT:
            return value
        if sys.stdin.isatty():
            typed: str = click.prompt(self._prompt, err=True)
            return typed
        line = sys.stdin.readline().rstrip("\r\n")
        if not line:
            self.fail(f"{self._prompt}: a line of standard input is missing.", param, ctx)
        return line


IDENTIFIER = Asked("Patient's identifier")
NAME = Asked("Patient's name")
EITHER = Asked("Patient's identifier or name")
"""As far as it is known."""
