"""Copies of a store, made while it is in use: sealed, and whole whatever is written meanwhile."""

from __future__ import annotations

import fcntl
import os
import sqlite3
import tempfile
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager, suppress
from datetime import UTC, datetime
from io import BytesIO
from pathlib import Path
from typing import BinaryIO

from dictate.errors import StoreError
from dictate.store.audio_files import AUDIO, pieces
from dictate.store.backup_file import Head, add, new_backup
from dictate.store.conversion import DATABASE, DRAFTS, JOURNAL, SEALED_SINCE, database_version
from dictate.store.failures import told
from dictate.store.home import make_folder, sync_folder
from dictate.store.key_file import KeyFile
from dictate.store.lines import SealedLines, reading_of
from dictate.store.sealing import Sealer

ENDING, UNFINISHED = ".backup", ".part"


def back_up(
    home: Path,
    sealer: Sealer,
    key: KeyFile | None,
    target: Path,
    *,
    database: Path | None = None,
    server: Callable[[Path], None] | None = None,
) -> None:
    """Write all sessions, drafts and patients of the home folder into a new file.

    `key`: what opens it; see `Head`. `database`: where it is not the one in the home folder;
    `server`: copies one that is on a server into an empty file. Raises StoreError; there is no
    file then.
    """
    # Drafts go first: one that is signed meanwhile is in the database, which is copied after.
    drafts = list(_drafts(home, sealer))
    head = Head.of(datetime.now(UTC), sealer, key)
    database = database or home / DATABASE
    with new_backup(target, head, sealer) as archive:
        for name, data in drafts:
            add(archive, name, BytesIO(data), len(data))
        if server is not None:
            with _part(home) as part:
                server(part)
                with open(part, "rb") as content:
                    add(archive, DATABASE, content, part.stat().st_size)
        elif database.exists():
            with _snapshot(database) as (content, size):
                add(archive, DATABASE, content, size)
        for piece in pieces(home):
            try:
                data = piece.read_bytes()
            except FileNotFoundError:
                continue  # discarded this moment
            add(archive, f"{AUDIO}/{piece.name}", BytesIO(data), len(data))


def keep_before(database: Path, sealer: Sealer, folder: Path, name: str) -> Path:
    """A copy that opens with the store's own key. There is none when this fails."""
    make_folder(folder)
    for left in folder.glob(f"*{UNFINISHED}"):  # a crash while copying
        left.unlink(missing_ok=True)
    target, part = folder / f"{name}{ENDING}", folder / f"{name}{UNFINISHED}"
    back_up(database.parent, sealer, None, part, database=database)
    os.replace(part, target)
    sync_folder(folder)
    sync_folder(folder.parent)
    return target


def _drafts(home: Path, sealer: Sealer) -> Iterator[tuple[str, bytes]]:
    """Names and whole acts of all drafts, open here or elsewhere; a damaged one as it is."""
    folder = home / DRAFTS
    with told("read the drafts"):
        paths = sorted(folder.glob(f"*{JOURNAL}")) if folder.exists() else []
        for path in paths:
            try:
                data = path.read_bytes()
            except FileNotFoundError:
                continue  # signed or discarded this moment
            try:
                good = reading_of(data, path.stem, SealedLines(sealer, path.stem)).good
            except StoreError:
                good = len(data)
            yield f"{DRAFTS}/{path.name}", data[:good]


@contextmanager
def _snapshot(database: Path) -> Iterator[tuple[BinaryIO, int]]:
    """The database at one moment. One that is not sealed yet never lies on the disk as a copy."""
    try:
        if database_version(database) < SEALED_SINCE:
            with closing(sqlite3.connect(":memory:")) as copy:
                _copy(database, copy)
                data = copy.serialize()
            yield BytesIO(data), len(data)
            return
        with _part(database.parent) as part:
            with closing(sqlite3.connect(part)) as copy:
                _copy(database, copy)
                copy.execute("PRAGMA journal_mode = DELETE")
            with open(part, "rb") as content:
                yield content, part.stat().st_size
    except sqlite3.Error as error:
        raise StoreError(
            f"Cannot copy the database ({error}); close other programs and try again."
        ) from None


def _copy(database: Path, copy: sqlite3.Connection) -> None:
    """SQLite's own backup: whole also while others write."""
    there = f"{database.absolute().as_uri()}?mode=rw"
    with closing(sqlite3.connect(there, uri=True)) as source:
        source.backup(copy)


@contextmanager
def _part(folder: Path) -> Iterator[Path]:
    """A file for a copy of the sealed database. What a killed backup left goes away first."""
    for left in folder.glob("backup-*.part*"):
        with suppress(OSError), open(left, "rb") as file:
            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
            left.unlink()
    handle, name = tempfile.mkstemp(prefix="backup-", suffix=".part", dir=folder)
    try:
        fcntl.flock(handle, fcntl.LOCK_EX)
        yield Path(name)
    finally:
        Path(name).unlink(missing_ok=True)
        os.close(handle)
