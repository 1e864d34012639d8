"""`dictate models`: the speech models that are there."""

from __future__ import annotations

from pathlib import Path

import click

from dictate.cli.options import model_option, vocab_option
from dictate.speech.catalogue import report
from dictate.vocabulary.loader import load


@click.command()
@model_option
@vocab_option
def models(model: Path | None, vocab_files: tuple[Path, ...]) -> None:
    """List the speech models, try each out, and say how to get an English one for Vosk."""
    for line in report(load(vocab_files), model):
        click.echo(line)
