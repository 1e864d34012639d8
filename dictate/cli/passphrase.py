"""`dictate passphrase`: locks the records with a passphrase, changes it, takes it away."""

from __future__ import annotations

from pathlib import Path

import click

from dictate.cli import passphrases
from dictate.cli.opening import BARE, asked, open_store
from dictate.cli.options import STORE_URL, home_option
from dictate.cli.output import note, tell_notes
from dictate.errors import StoreError
from dictate.store import keys
from dictate.store.home import home_folder
from dictate.store.sealing import Sealer
from dictate.store.store import Store

NEW = "New passphrase of the records"
LOST = (
    "a lost passphrase means lost records: nobody can open them without it. Write it down and "
    "keep it where records are kept"
)


@click.group()
def passphrase() -> None:
    """Lock the records with a passphrase. It is asked for, and never an argument.

    For use without a terminal, DICTATE_PASSPHRASE_FILE names a file, readable by you alone, whose
    first line is the passphrase (DICTATE_NEW_PASSPHRASE_FILE: the one to change it to).
    """


@passphrase.command("set")
@home_option
def set_(home: Path | None) -> None:
    """Set a passphrase where there is none."""
    folder = home_folder(home)
    if keys.state(folder) == "wrapped":
        raise StoreError("A passphrase is set already; `dictate passphrase change` changes it.")
    chosen = passphrases.new(NEW, passphrases.OPENS, LOST)
    keys.refuse_short(chosen)
    with open_store(home) as store:
        store.recover()  # what is not sealed yet is sealed first
        tell_notes(store)
        keys.wrap(folder, store.unlocked(), chosen)
        store.note("passphrase changed", detail="set")
    click.echo("The passphrase is set; programs that are running go on without it.")


@passphrase.command()
@home_option
def change(home: Path | None) -> None:
    """Change the passphrase; backups made before go on opening with the old one."""
    folder = home_folder(home)
    sealer = _known(folder)
    keys.wrap(folder, sealer, passphrases.new(NEW, passphrases.NEW, LOST))
    _note(folder, sealer, "changed")
    click.echo("The passphrase is changed; backups made before open with the old one.")


@passphrase.command()
@home_option
def remove(home: Path | None) -> None:
    """Take the passphrase away: the key then lies beside the records."""
    folder = home_folder(home)
    sealer = _known(folder)
    keys.unwrap(folder, sealer)
    _note(folder, sealer, "removed")
    click.echo("The passphrase is removed.")
    note(BARE)


@passphrase.command()
@home_option
def status(home: Path | None) -> None:
    """Say whether a passphrase is set."""
    folder = home_folder(home)
    state = keys.state(folder)
    if state == "none":
        click.echo("There are no records yet; `dictate passphrase set` locks them from the start.")
    elif state == "bare":
        click.echo(f"No passphrase is set: {BARE}.")
    else:
        click.echo("A passphrase is set: the records open with it alone.")


def _note(folder: Path, sealer: Sealer, what: str) -> None:
    context = click.get_current_context()
    with Store(folder, context.meta.get(STORE_URL), sealer=sealer) as store:
        store.note("passphrase changed", detail=what)
        tell_notes(store)


def _known(folder: Path) -> Sealer:
    if keys.state(folder) != "wrapped":
        raise StoreError("No passphrase is set; `dictate passphrase set` sets one.")
    return asked(folder)
