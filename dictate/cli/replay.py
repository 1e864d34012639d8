"""`dictate replay`: a recording to findings, without a screen."""

from __future__ import annotations

from pathlib import Path

import click

from dictate.cli.asked import IDENTIFIER
from dictate.cli.opening import open_store
from dictate.cli.options import (
    engine_option,
    home_option,
    json_option,
    model_option,
    vocab_option,
)
from dictate.cli.output import note, print_json, print_summary
from dictate.errors import DictateError
from dictate.exam.contract import session_document
from dictate.pipeline.examination import Examination, Heard
from dictate.pipeline.opening import new_examination
from dictate.pipeline.replay import replay as hear
from dictate.pipeline.text import unkept
from dictate.speech.engines import choose_engine
from dictate.store.store import Store
from dictate.vocabulary.loader import load


@click.command()
@click.argument("recording", type=click.Path(path_type=Path))
@engine_option
@model_option
@json_option
@vocab_option
@click.option("--save", is_flag=True, help="Keep the session as a draft, to be reviewed.")
@click.option(
    "--patient",
    type=IDENTIFIER,
    help="With --save: the clinic's own identifier of the patient, or - to be asked.",
)
@home_option
def replay(
    recording: Path,
    engine: str | None,
    model: Path | None,
    as_json: bool,
    vocab_files: tuple[Path, ...],
    save: bool,
    patient: str | None,
    home: Path | None,
) -> None:
    """Hear a RECORDING (WAV, FLAC or OGG) and show the findings in it."""
    if patient is not None and not save:
        raise click.UsageError("--patient goes with --save.")
    _refuse_missing(recording)
    lexicon = load(vocab_files)
    recogniser = choose_engine(engine, model, lexicon)
    with open_store(home) if save else Store(home) as store:
        examination = (
            new_examination(store, lexicon, engine=recogniser.name, patient=patient)
            if save
            else unkept(lexicon)
        )
        if examination.session.started.newcomer:
            note(examination.session.started.newcomer)
        hear(recording, recogniser, examination, _tell)
        if not examination.session.utterances:
            raise DictateError(f"No speech was heard in {recording}; check what was recorded.")
        _close(examination, as_json=as_json, save=save)


def _refuse_missing(recording: Path) -> None:
    if not recording.exists():
        raise click.ClickException(f"There is no file {recording}; check the path.")


def _tell(heard: Heard) -> None:
    start = heard.utterance.start_s
    words = f"{start:7.1f} s  {heard.reading.kind:<8} {heard.reading.text}"
    click.echo(words, err=True)


def _close(examination: Examination, *, as_json: bool, save: bool) -> None:
    session = examination.session
    if as_json:
        print_json(session_document(session))
    else:
        print_summary(session)
    if examination.problem:
        note(f"not saved: {examination.problem}")
    elif save:
        note(f"kept as draft {session.id}; `dictate review {session.id}` confirms it")
