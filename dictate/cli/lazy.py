"""A click group whose commands are imported only when they are used."""

from __future__ import annotations

from importlib import import_module
from typing import Any

import click


class LazyGroup(click.Group):
    """`commands_at` maps a command's name to "module:object"."""

    def __init__(self, *args: Any, commands_at: dict[str, str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._commands_at = commands_at

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(self._commands_at)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        place = self._commands_at.get(cmd_name)
        if place is None:
            return None
        module, name = place.split(":")
        command: click.Command = getattr(import_module(module), name)
        return command
