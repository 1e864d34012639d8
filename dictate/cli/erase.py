"""`dictate hand-over` and `dictate erase`: what a patient may ask for."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import click

from dictate.cli import passphrases
from dictate.cli.asked import IDENTIFIER
from dictate.cli.files import put
from dictate.cli.opening import acting, open_store
from dictate.cli.options import acting_home_option, home_option
from dictate.cli.output import LEAVES, note, tell_notes
from dictate.errors import DictateError, StoreError
from dictate.exam.patients import Patient
from dictate.pipeline.clinic import Clinic
from dictate.pipeline.handing_over import files_of
from dictate.store.audio_files import pieces
from dictate.store.erasure import erase as erase_patient
from dictate.store.patients import PatientBook
from dictate.store.store import Store


@click.command("hand-over")
@click.argument("patient", type=IDENTIFIER)
@click.option(
    "--to",
    "folder",
    required=True,
    type=click.Path(path_type=Path, file_okay=False),
    help="Folder to make, which must not exist yet.",
)
@home_option
def hand_over(patient: str, folder: Path, home: Path | None) -> None:
    """Write all that is kept of PATIENT (-: asked for) into files.

    These are every session, as data and as a chart note, decisions, and sound that was kept.
    """
    with open_store(home) as store:
        known = PatientBook(store).known(patient)
        files = [*files_of(Clinic(store), known), *_sound(store, known)]
        store.note("exported", patient=known.id, detail="all that is kept")
        tell_notes(store)
    try:
        folder.mkdir(mode=0o700, parents=True)
    except FileExistsError:
        raise DictateError(f"{folder} exists already; choose another name.") from None
    except OSError as error:
        raise DictateError(f"Cannot make {folder}: {error.strerror}; choose another.") from None
    for name, content in files:
        put(content, folder / name, tell=False)
    note(f"{len(files)} files written to {folder}, {LEAVES}")


@click.command()
@click.argument("patient", type=IDENTIFIER)
@click.option(
    "--yes-erase",
    "confirmed",
    metavar="PATIENT",
    type=IDENTIFIER,
    help="The identifier again: erases without asking.",
)
@acting_home_option
def erase(patient: str, confirmed: str | None, home: Path | None) -> None:
    """Delete all that is kept of PATIENT (-: asked for) for good, signed records too.

    Kept is only that it was done: when, by whom, of how many sessions. Backups made before, and
    files that were exported, still hold the patient. Once examiners are registered, only one of
    them erases.
    """
    with open_store(home) as store:
        name = acting(store)
        known = PatientBook(store).known(patient)
        _confirm(known, len(Clinic(store).sessions(known.id)), confirmed)
        done = erase_patient(store, known.id, by=name, at=datetime.now(UTC))
        tell_notes(store)
    for line in done.notes:
        note(line)
    note("backups made before, and files that were exported, still hold the patient")
    click.echo(f"Erased: {done.erasure.sessions} sessions and the patient's entry.")


def _sound(store: Store, patient: Patient) -> Iterator[tuple[str, bytes]]:
    for entry in Clinic(store).sessions(patient.id):
        if pieces(store.home, entry.id):
            from dictate.store.audio_chest import recording  # loads the sound library

            yield f"{entry.id}.flac", recording(store.home, store.unlocked(), entry.id)


def _confirm(patient: Patient, sessions: int, confirmed: str | None) -> None:
    """Raises StoreError unless the identifier was given a second time, letter by letter."""
    if confirmed is None:
        if not passphrases.has_terminal():
            raise StoreError(
                "Nobody can be asked whether to erase; give the identifier again with --yes-erase."
            )
        note(f"{sessions} sessions of {patient.id} will be deleted for good, signed ones too")
        confirmed = click.prompt("Type the patient's identifier to erase", err=True)
    if confirmed != patient.id:
        raise StoreError("That is not the patient's identifier; nothing was erased.")
