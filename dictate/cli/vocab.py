"""`dictate vocab`: look after the vocabulary."""

from __future__ import annotations

from pathlib import Path

import click

from dictate.vocabulary.check import report
from dictate.vocabulary.loader import load

MUST_BE_MENDED = 1


@click.group()
def vocab() -> None:
    """Look after the vocabulary."""


@vocab.command("check")
@click.argument("files", nargs=-1, type=click.Path(path_type=Path))
@click.pass_context
def check_files(context: click.Context, files: tuple[Path, ...]) -> None:
    """Report entries that collide or sound alike; FILES are a clinic's own terms.

    Exit code 1 when the same words mean two things.
    """
    lexicon = load(files)
    lines, serious = report(lexicon)
    for line in lines:
        click.echo(line)
    count = len(lexicon.phrases)
    click.echo(f"{count} phrases, {len(lexicon.regions)} regions: {len(lines)} remarks", err=True)
    context.exit(MUST_BE_MENDED if serious else 0)
