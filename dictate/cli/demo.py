"""`dictate demo`: an invented clinic in a folder of its own, to try every screen with."""

from __future__ import annotations

from datetime import date, datetime
from pathlib import Path

import click
import platformdirs

from dictate.cli import progress
from dictate.cli.opening import open_store
from dictate.pipeline.demo.clinic import DemoClinic
from dictate.pipeline.demo.stories import stories
from dictate.vocabulary.loader import load


@click.command()
@click.option(
    "--home",
    type=click.Path(path_type=Path, file_okay=False),
    help="Empty folder to fill [default: dictate-demo in the user's data folder].",
)
@click.option(
    "--today",
    type=click.DateTime(["%Y-%m-%d"]),
    help="The day that the visits lead up to [default: today].",
)
def demo(home: Path | None, today: datetime | None) -> None:
    """Fill a folder with an invented clinic of 30 patients. Your own records are not touched."""
    folder = home or platformdirs.user_data_path("dictate-demo", appauthor=False)
    everyone = stories()
    with open_store(folder) as store:
        clinic = DemoClinic(store, load(), today.date() if today else date.today())
        for told in progress.each(everyone, "inventing patients"):
            clinic.play(told)
    click.echo(f"{len(everyone)} invented patients are in {folder}. Try:")
    for words in ("desk --no-mic", "exam --no-mic --patient D-006", "due", "report", "list"):
        click.echo(f"  dictate {words} --home {folder}")
