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
home_option: Decorator = click.option(
    "--home",
    type=click.Path(path_type=Path, file_okay=False),
    envvar="DICTATE_HOME",
    help="Folder of the records [default: the user's data folder].",
)
json_option: Decorator = click.option(
    "--json", "as_json", is_flag=True, help="One JSON document on stdout, nothing else there."
)
