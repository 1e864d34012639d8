"""Puts a backup in the place of a store: checked first, and swapped in as a whole."""

from __future__ import annotations

import ctypes
import os
import re
import secrets
import shutil
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import partial
from io import BytesIO
from pathlib import Path
from typing import BinaryIO

from dictate.errors import StoreError
from dictate.store.audio_files import AUDIO
from dictate.store.backup_file import unpack
from dictate.store.conversion import DATABASE, DRAFTS, JOURNAL, SEALED_SINCE, database_version
from dictate.store.copying import copy_in, refuse_filled
from dictate.store.database import Database
from dictate.store.failures import told
from dictate.store.home import FILE_MODE, make_folder, sync_folder
from dictate.store.journal import lock, read
from dictate.store.key_file import KEY_FILE, KeyFile
from dictate.store.sealing import Sealer

_NAMES = re.compile(rf"{re.escape(DATABASE)}|({DRAFTS}|{AUDIO})/[A-Za-z0-9][A-Za-z0-9._-]*")
_HERE, _EXCHANGE = -100, 2
"""AT_FDCWD and RENAME_EXCHANGE of Linux's renameat2(2)."""


@dataclass(frozen=True, slots=True)
class Restored:
    """What a restore did."""

    sessions: int
    aside: Path | None
    """Where the store that was there before lies now."""
    notes: tuple[str, ...]
    """What was damaged already when the backup was made."""


def restore(
    backup: Path,
    sealer: Sealer,
    home: Path,
    key: KeyFile,
    *,
    replace: bool = False,
    url: str | None = None,
) -> Restored:
    """Make `home` what it was when the backup was made; `key` goes with it, as its `store.key`.

    `url`: an empty database on a server, which gets what was in the database. Raises StoreError,
    `home` being as before, for a backup that is not whole, and for a folder with something in it
    unless it is to be replaced; for a server with something in it always.
    """
    if url is not None:
        refuse_filled(home, url)
    with told("restore the backup"):
        there = home.exists() and any(home.iterdir())
        if there and not replace:
            raise StoreError(
                f"{home} is not empty; name another folder with --into, or give --replace to set "
                "aside what is there."
            )
        if there:
            _refuse_in_use(home)
        home.parent.mkdir(parents=True, exist_ok=True)
        beside = home.parent / f".{home.name}-restoring-{secrets.token_hex(4)}"
        make_folder(beside)
        try:
            _unpack(backup, sealer, beside)
            sealed = _is_sealed(beside)
            if url is not None and not sealed:
                raise StoreError(
                    f"{backup} is of a version from before sealing; restore it into a folder."
                )
            _write(beside / KEY_FILE, BytesIO(key.marked(sealer, converting=not sealed).data))
            sessions, problems = _checked(beside, sealer) if sealed else (set(_drafts(beside)), [])
        except BaseException:
            shutil.rmtree(beside, ignore_errors=True)
            raise
        aside = _put_in_place(beside, home)
        if url is not None and (home / DATABASE).exists():
            copy_in(home / DATABASE, home, url)
            (home / DATABASE).unlink()
            sync_folder(home)
    return Restored(len(sessions), aside, tuple(problems))


def _unpack(backup: Path, sealer: Sealer, folder: Path) -> None:
    make_folder(folder / DRAFTS)

    def put(name: str, content: BinaryIO) -> None:
        if not _NAMES.fullmatch(name):
            raise StoreError(f"{backup} holds a file that no backup has; nothing was restored.")
        make_folder((folder / name).parent)
        _write(folder / name, content)

    unpack(backup, sealer, put)
    for each in (folder / DRAFTS, folder / AUDIO, folder):
        if each.exists():
            sync_folder(each)


def _write(path: Path, content: BinaryIO) -> None:
    handle = os.open(path, os.O_CREAT | os.O_EXCL | os.O_WRONLY | os.O_CLOEXEC, FILE_MODE)
    with open(handle, "wb") as file:
        shutil.copyfileobj(content, file)
        file.flush()
        os.fsync(handle)


def _is_sealed(folder: Path) -> bool:
    """False for a copy from before sealing: its first opening seals it."""
    return not 0 < database_version(folder / DATABASE) < SEALED_SINCE


def _drafts(folder: Path) -> Iterator[str]:
    yield from (path.stem for path in (folder / DRAFTS).glob(f"*{JOURNAL}"))


def _checked(folder: Path, sealer: Sealer) -> tuple[set[str], list[str]]:
    """The sessions that were unpacked, and what is damaged in them.

    The backup itself was whole, so what is damaged was so before it was made.
    """
    found: set[str] = set()
    problems: list[str] = []
    with closing(Database.open(folder, sealer)) as database:
        for entry in database.entries():
            found.add(entry.id)
            problems += _problem(partial(database.records, entry.id))
    for name in _drafts(folder):
        found.add(name)
        problems += _problem(partial(read, folder / DRAFTS / f"{name}{JOURNAL}", sealer))
    return found, problems


def _problem(check: Callable[[], object]) -> list[str]:
    try:
        check()
    except StoreError as error:
        return [str(error)]
    return []


def _refuse_in_use(home: Path) -> None:
    """A program that has it open would go on writing into what was set aside."""
    for name in _drafts(home):
        path = home / DRAFTS / f"{name}{JOURNAL}"
        with open(path, "rb") as file:
            lock(file.fileno(), path)
    if (home / DATABASE).exists() and _is_open(home / DATABASE):
        raise StoreError("The records are open in another program; close it there first.")


def _is_open(database: Path) -> bool:
    """Only who is alone with a database may leave SQLite's write-ahead mode."""
    try:
        uri = f"{database.absolute().as_uri()}?mode=rw"
        with closing(sqlite3.connect(uri, uri=True, timeout=0)) as connection:
            connection.execute("PRAGMA journal_mode = DELETE")
    except sqlite3.OperationalError as error:
        return "locked" in str(error)
    except sqlite3.Error:
        return False  # damaged, and to be replaced for that
    return False


def _put_in_place(new: Path, home: Path) -> Path | None:
    """At no moment is there no store at `home`, where the system can exchange two folders."""
    if not home.exists():
        os.rename(new, home)
        aside = None
    elif not any(home.iterdir()):
        home.rmdir()
        os.rename(new, home)
        aside = None
    else:
        at = datetime.now(UTC)
        aside = home.with_name(f"{home.name}-before-restore-{at:%Y%m%d-%H%M%S}")
        if _exchanged(new, home):
            os.rename(new, aside)
        else:
            os.rename(home, aside)
            os.rename(new, home)
    sync_folder(home.parent)
    return aside


def _exchanged(one: Path, other: Path) -> bool:
    """Swap two folders in one step. False where the system cannot."""
    rename = getattr(ctypes.CDLL(None), "renameat2", None)
    if rename is None:
        return False
    done: int = rename(_HERE, os.fsencode(one), _HERE, os.fsencode(other), _EXCHANGE)
    return done == 0
