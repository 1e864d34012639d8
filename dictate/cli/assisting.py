"""The option of commands in which an assistant types while the examiner speaks."""

from __future__ import annotations

import click

from dictate.cli.options import Decorator, remembered

assistant_option: Decorator = click.option(
    "--assistant",
    "assisted_by",
    metavar="NAME",
    expose_value=False,
    callback=remembered,
    help="Who types while the examiner speaks, as registered.",
)
