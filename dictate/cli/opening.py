"""Opens the store of a command, asking for its passphrase where one is set."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path

import click

from dictate.cli import passphrases
from dictate.cli.options import ASSISTANT, STORE_URL, USER
from dictate.cli.output import note
from dictate.errors import StoreError
from dictate.store import keys
from dictate.store.home import home_folder
from dictate.store.keys import WrongPassphraseError
from dictate.store.sealing import Sealer
from dictate.store.store import Store

KEPT = ("audit", "backup", "hand-over", "report", "sound", "erase")
"""Commands about what is kept: where nothing is, they begin nothing."""
TRIES = 3
UNNAMED = ("list", "people", "audit", "backup", "restore", "passphrase", "demo", "replay")
"""Commands that nobody has to be named for."""
PROMPT = "Passphrase of the records"
BARE = (
    "the records are sealed, but their key lies beside them: `dictate passphrase set` locks them "
    "with a passphrase"
)


def open_store(home: Path | None) -> Store:
    """The store in that folder, unlocked. Raises StoreError when it cannot be.

    Its database is on the server that the command's `--store-url` names, if it has that option.
    """
    folder = home_folder(home)
    context = click.get_current_context(silent=True)
    meta = context.meta if context is not None else {}
    command = context.command_path.split()[1:2] if context is not None else []
    if meta.get(STORE_URL) is None and keys.state(folder) == "none":
        _begun(folder, command)
    store = Store(folder, meta.get(STORE_URL), sealer=unlocked(folder))
    if command and command[0] not in UNNAMED:
        try:
            store.roles.act_as(meta.get(USER), meta.get(ASSISTANT), needed=True)
        except BaseException:
            store.close()
            raise
    elif meta.get(USER):
        store.roles.act_as(meta[USER])
    return store


def _begun(folder: Path, command: list[str]) -> None:
    """A folder named by mistake is empty, and must not be taken for records with nothing due."""
    if command and command[0] in KEPT:
        raise StoreError(f"There are no records in {folder}; name their folder with --home.")
    if command != ["demo"]:
        note(f"no records were in {folder}: an empty store is begun there")


def acting(store: Store) -> str:
    """Who acts, for what is kept under their name. Raises UsageError where nobody was named."""
    if store.roles.user is None:
        raise click.UsageError("Say who does it: --by NAME.")
    return store.roles.user


def unlocked(folder: Path) -> Sealer | None:
    """The key of a store with a passphrase; None where none is set: the store finds its own."""
    return asked(folder) if keys.state(folder) == "wrapped" else None


def asked(folder: Path) -> Sealer:
    """The key of a store with a passphrase, asked for up to three times on a terminal.

    Raises WrongPassphraseError, StoreError.
    """
    return opened_with(partial(keys.unlock, folder), PROMPT)


def opened_with(unlock: Callable[[str], Sealer], prompt: str) -> Sealer:
    """What `unlock` makes of the passphrase that is asked for. Raises as `asked` does."""
    tries = 1 if passphrases.from_file(passphrases.OPENS) is not None else TRIES
    for _ in range(tries - 1):
        try:
            return unlock(passphrases.known(prompt))
        except WrongPassphraseError as error:
            note(str(error))
    return unlock(passphrases.known(prompt))


def tell_if_bare(folder: Path) -> None:
    """Say that the key lies beside the records, where it does."""
    if keys.state(folder) == "bare":
        note(BARE)
