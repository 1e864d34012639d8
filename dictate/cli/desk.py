"""`dictate desk`: the clinic's records on the screen, without a microphone."""

from __future__ import annotations

from pathlib import Path

import click

from dictate.cli.exam import factory, locking, run, source
from dictate.cli.opening import open_store
from dictate.cli.options import (
    engine_option,
    home_option,
    lock_option,
    model_option,
    vocab_option,
)
from dictate.cli.output import tell_notes
from dictate.export.formats import BY_ENDING
from dictate.pipeline.clinic import Clinic
from dictate.pipeline.opening import new_examination
from dictate.tui.desk_app import DeskApp
from dictate.tui.lockable import Lock
from dictate.vocabulary.loader import load
from dictate.vocabulary.schema import Lexicon


@click.command()
@click.option("--no-mic", is_flag=True, help="Examinations begun from here: keyboard only.")
@click.option("--microphone", help="For these: name of the microphone, or a part of it.")
@lock_option
@engine_option
@model_option
@vocab_option
@home_option
def desk(
    no_mic: bool,
    microphone: str | None,
    lock_after: float,
    engine: str | None,
    model: Path | None,
    vocab_files: tuple[Path, ...],
    home: Path | None,
) -> None:
    """Worklist, patients and records on the screen; an examination begins from a patient.

    Nothing is listened to until one does.
    """
    lexicon = load(vocab_files)
    with open_store(home) as store:
        tell_notes(store)
        clinic, lock = Clinic(store), locking(store, lock_after)
        while (patient := _chosen(lexicon, clinic, lock)) is not None:
            listening = (
                None if no_mic else factory(source(None, microphone), engine, model, lexicon)
            )
            examination = new_examination(store, lexicon, engine=engine, patient=patient)
            run(examination, lexicon, listening, clinic, lock=lock)


def _chosen(lexicon: Lexicon, clinic: Clinic, lock: Lock) -> str | None:
    """The patient whose examination is to begin; None when the user left."""
    app = DeskApp(lexicon, clinic, BY_ENDING, lock)
    app.run()
    return app.wanted
