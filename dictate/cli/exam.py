"""`dictate exam`: the examination on the screen."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import click

from dictate.audio.hearing import Hearing
from dictate.audio.microphone import open_microphone
from dictate.audio.source import AudioSource
from dictate.audio.wav import open_recording
from dictate.cli.asked import IDENTIFIER
from dictate.cli.assisting import assistant_option
from dictate.cli.opening import open_store
from dictate.cli.options import (
    engine_option,
    home_option,
    lock_option,
    model_option,
    vocab_option,
)
from dictate.cli.output import note, tell_notes
from dictate.cli.sound import Sound
from dictate.exam.patients import patient_id
from dictate.export.formats import BY_ENDING
from dictate.pipeline.clinic import Clinic
from dictate.pipeline.examination import Examination
from dictate.pipeline.listening import Listen, ListeningThread
from dictate.pipeline.opening import moved, new_examination, resumed_examination
from dictate.pipeline.unlocking import Door
from dictate.speech.engines import choose_engine
from dictate.store.store import Store
from dictate.tui.app import ExamApp
from dictate.tui.lockable import Lock
from dictate.tui.ports import Listening, ListeningFactory, Report
from dictate.vocabulary.loader import load
from dictate.vocabulary.schema import Lexicon


@click.command()
@click.option(
    "--from",
    "recording",
    type=click.Path(path_type=Path),
    help="Hear a recording at real speed instead of the microphone.",
)
@click.option("--no-mic", is_flag=True, help="Keyboard only.")
@click.option("--microphone", help="Name of the microphone, or a part of it.")
@click.option(
    "--keep-audio",
    is_flag=True,
    help="Keep what is said as sound, sealed, beside the record; ask the patient first.",
)
@click.option("--resume", is_flag=True, help="Go on with the draft worked on last.")
@click.option("--session", help="Go on with this draft: its id, or the start of it.")
@click.option(
    "--patient",
    type=IDENTIFIER,
    help="The clinic's own identifier of the patient, or - to be asked; with a draft: give it to "
    "that patient.",
)
@lock_option
@engine_option
@model_option
@vocab_option
@assistant_option
@home_option
def exam(
    recording: Path | None,
    no_mic: bool,
    microphone: str | None,
    keep_audio: bool,
    resume: bool,
    session: str | None,
    patient: str | None,
    lock_after: float,
    engine: str | None,
    model: Path | None,
    vocab_files: tuple[Path, ...],
    home: Path | None,
) -> None:
    """Examine on the screen: dictate, correct, confirm, sign, export."""
    if keep_audio and no_mic:
        raise click.UsageError("--keep-audio needs something to hear; leave out --no-mic.")
    lexicon = load(vocab_files)
    open_source = None if no_mic else source(recording, microphone)
    with open_store(home) as store:
        if resume or session:
            examination = _resumed(store, lexicon, session, patient)
        else:
            examination = new_examination(store, lexicon, engine=engine, patient=patient)
        tell_notes(store)
        sound = Sound(store) if keep_audio and open_source else None
        if sound and open_source:
            open_source = sound.of(open_source)
        listening = None if open_source is None else factory(open_source, engine, model, lexicon)
        run(examination, lexicon, listening, Clinic(store), sound, lock=locking(store, lock_after))
        if store.behind:
            note(f"kept on this machine, in the database at the next start: {store.behind}")


def locking(store: Store, after_minutes: float) -> Lock:
    """When the screen over that store locks, and what unlocks it."""
    return Lock(after_minutes * 60 or None, Door(store.home))


def _kept_under(app: ExamApp) -> str | None:
    """Whose what is said now is; nobody's while listening is paused, behind a locked screen, and
    once it is signed."""
    session = app.desk.session
    return None if app.locked or session.paused or session.is_final else session.id


def _resumed(
    store: Store, lexicon: Lexicon, session: str | None, patient: str | None
) -> Examination:
    """The draft, given to the patient named where that is another."""
    examination = resumed_examination(store, lexicon, session)
    found = examination.session
    if patient is None or patient_id(patient).casefold() == (found.patient or "").casefold():
        return examination
    given = moved(store, lexicon, found, patient)
    whose = f"of {found.patient}" if found.patient else "without a patient"
    note(f"the draft {whose} goes on under {given.session.patient} as {given.session.id}")
    return given


def source(recording: Path | None, microphone: str | None) -> Listen:
    """Opens the microphone, or the recording instead of it."""
    if recording is None:
        return lambda on_change: open_microphone(microphone, on_change, wait_for_it=True)
    open_recording(recording).close()  # a bad file is told before the screen opens

    def play(_: Callable[[Hearing], None]) -> AudioSource:
        return open_recording(recording, realtime=True)

    return play


def factory(
    open_source: Listen, engine: str | None, model: Path | None, lexicon: Lexicon
) -> ListeningFactory:
    """A listening that loads its engine when it starts."""

    def make(report: Report) -> Listening:
        return ListeningThread(report, open_source, lambda: choose_engine(engine, model, lexicon))

    return make


def run(
    examination: Examination,
    lexicon: Lexicon,
    listening: ListeningFactory | None,
    clinic: Clinic,
    sound: Sound | None = None,
    *,
    lock: Lock | None = None,
) -> None:
    """One examination on the screen, and what is told after it."""
    app = ExamApp(examination, lexicon, listening, BY_ENDING, clinic=clinic, lock=lock)
    if sound:
        sound.begin(lambda: _kept_under(app))
    try:
        app.run()
    finally:
        if sound:
            sound.end()
    examination = app.desk.examination  # another one if the draft was given to another patient
    session = examination.session
    if not examination.retry():
        click.echo(f"dictate: not saved: {examination.problem}", err=True)
    elif not session.is_final:
        click.echo(f"Kept as draft {session.id}; `dictate exam --resume` goes on with it.")
