"""`dictate backup` and `dictate restore`: a sealed copy of all records, and the way back."""

from __future__ import annotations

from functools import partial
from pathlib import Path

import click

from dictate.cli import passphrases
from dictate.cli.opening import open_store, opened_with, unlocked
from dictate.cli.options import STORE_URL, USER, home_option
from dictate.cli.output import note, tell_notes
from dictate.errors import StoreError
from dictate.store import backup_file, keys, trail
from dictate.store.backup import back_up
from dictate.store.home import home_folder
from dictate.store.key_file import KeyFile
from dictate.store.restoring import restore as restore_store
from dictate.store.sealing import Sealer
from dictate.store.store import Store

PROMPT = "Passphrase of the backup"
LOST = (
    "no passphrase is set for the records, so the backup gets one of its own: without it the "
    "backup is lost"
)


@click.command()
@click.argument("file", type=click.Path(path_type=Path, dir_okay=False))
@home_option
def backup(file: Path, home: Path | None) -> None:
    """Write all records into a sealed FILE, while the program is in use or not.

    It opens with the passphrase of the records; where none is set, with one that is asked for.
    """
    folder = home_folder(home)
    if keys.state(folder) == "none" and not folder.exists():
        raise StoreError(f"There are no records in {folder}; name their folder with --home.")
    with open_store(home) as store:
        store.recover()
        tell_notes(store)
        sealer = store.unlocked()
        server = store.database().copy_into if store.url else None
        back_up(folder, sealer, _key_of_backup(folder, sealer), file, server=server)
        store.note("backed up")
    click.echo(f"Written to {file}; `dictate restore` brings it back.")


def _key_of_backup(folder: Path, sealer: Sealer) -> KeyFile:
    if keys.state(folder) == "wrapped":
        return keys.file_of(folder)
    return keys.wrapped_file(sealer, passphrases.new(PROMPT, passphrases.OPENS, LOST))


@click.command()
@click.argument("file", type=click.Path(path_type=Path, dir_okay=False))
@click.option(
    "--into",
    type=click.Path(path_type=Path, file_okay=False),
    help="Empty folder to restore into [default: the folder of the records].",
)
@click.option(
    "--replace", is_flag=True, help="Set aside the records that are there, in a folder beside."
)
@home_option
def restore(file: Path, into: Path | None, replace: bool, home: Path | None) -> None:
    """Bring back the records in FILE, a backup; it is checked as a whole first."""
    folder = home_folder(home)
    target = into or folder
    sealer, key = _opened(file, folder)
    meta = click.get_current_context().meta
    done = restore_store(file, sealer, target, key, replace=replace, url=meta.get(STORE_URL))
    with Store(target, meta.get(STORE_URL), sealer=sealer) as store:
        _noted(store, done.sessions, meta.get(USER))
    for line in done.notes:
        note(f"damaged already when the backup was made: {line}")
    click.echo(f"Restored {done.sessions} sessions into {target}.")
    if done.aside:
        click.echo(f"What was there before is in {done.aside}.")


def _noted(store: Store, sessions: int, user: str | None) -> None:
    """Who works here is known only now; a wrong name does not undo what was restored."""
    try:
        store.roles.act_as(user)
    except StoreError as error:
        note(str(error))
    entry = trail.made("restored", store.roles.user, detail=f"{sessions} sessions")
    store.database().note(entry, restored=True)


def _opened(file: Path, folder: Path) -> tuple[Sealer, KeyFile]:
    """The key that the backup carries; for a copy without, that of its own store."""
    head = backup_file.head_of(file)
    if head.key is None:
        return unlocked(folder) or keys.bare(folder), keys.file_of(folder)
    return opened_with(partial(backup_file.unlocked, file), PROMPT), head.key
