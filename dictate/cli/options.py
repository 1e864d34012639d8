"""Options that several commands share."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import click

Decorator = Callable[[Callable[..., Any]], Callable[..., Any]]

vocab_option: Decorator = click.option(
    "--vocab",
    "vocab_files",
    envvar="DICTATE_VOCAB",
    multiple=True,
    type=click.Path(path_type=Path),
    help="A clinic's own vocabulary file, added to the default one; may be given again.",
)
engine_option: Decorator = click.option(
    "--engine",
    type=click.Choice(["packaged", "vosk"]),
    help="Speech engine [default: packaged, or vosk when --model holds a Vosk model].",
)
model_option: Decorator = click.option(
    "--model", type=click.Path(path_type=Path), help="Folder of a speech model."
)
STORE_URL, USER, ASSISTANT = "dictate.store_url", "dictate.acting_as", "dictate.assisted_by"
"""Where a command's context keeps the server and the people that were named."""


def remembered(context: click.Context, option: click.Parameter, value: str | None) -> None:
    """Keep the option's value in the command's context, for `opening`."""
    context.meta[f"dictate.{option.name}"] = value or None


def home_option(command: Callable[..., Any]) -> Callable[..., Any]:
    """Where the records are: a folder, and for several chairs a server that `opening` asks for."""
    return _home("--as")(command)


def acting_home_option(command: Callable[..., Any]) -> Callable[..., Any]:
    """The same for a command that somebody must be named for: "--by" is another word for "--as"."""
    return _home("--by", "--as")(command)


def _home(*names: str) -> Decorator:
    url: Decorator = click.option(
        "--store-url",
        envvar="DICTATE_STORE_URL",
        expose_value=False,
        callback=remembered,
        help="PostgreSQL server that several chairs share: postgresql://USER@HOST/DATABASE; "
        "keep its password in ~/.pgpass.",
    )
    user: Decorator = click.option(
        *names,
        "acting_as",
        envvar="DICTATE_USER",
        metavar="NAME",
        expose_value=False,
        callback=remembered,
        help="Who you are, as registered with `dictate people add`.",
    )
    home: Decorator = click.option(
        "--home",
        type=click.Path(path_type=Path, file_okay=False),
        envvar="DICTATE_HOME",
        help="Folder of the records [default: the user's data folder].",
    )
    return lambda command: home(url(user(command)))


lock_option: Decorator = click.option(
    "--lock-after",
    type=click.FloatRange(min=0),
    default=10.0,
    show_default=True,
    metavar="MINUTES",
    help="Lock the screen when no key was pressed and no word said for so long; 0: never. F9 "
    "locks it at once.",
)
json_option: Decorator = click.option(
    "--json", "as_json", is_flag=True, help="One JSON document on stdout, nothing else there."
)
