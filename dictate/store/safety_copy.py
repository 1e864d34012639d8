"""A copy of an SQLite database, kept beside it before its tables are changed."""

from __future__ import annotations

import os
import sqlite3
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

from dictate.errors import StoreError
from dictate.store.home import make_file, make_folder, sync_folder

FOLDER = "before_migration"
UNFINISHED = ".part"


def keep_copy(database: Path, version: int) -> Path:
    """Copy the database of that version; on the disk, whole, when this returns.

    Raises OSError or StoreError when that fails; there is no copy then.
    """
    folder, name = place_of_copy(database, version)
    make_folder(folder)
    for left in folder.glob(f"*{UNFINISHED}"):  # a crash while copying
        left.unlink(missing_ok=True)
    copy = folder / f"{name}.db"
    part = copy.with_suffix(UNFINISHED)
    make_file(part)
    try:
        _copied(database, part)
    except sqlite3.Error as error:
        part.unlink(missing_ok=True)
        raise StoreError(
            f"Cannot copy the database before it is brought to this version ({error}); "
            "free some space, or move it away and restore a backup."
        ) from None
    os.replace(part, copy)
    sync_folder(folder)
    sync_folder(folder.parent)
    return copy


def place_of_copy(database: Path, version: int) -> tuple[Path, str]:
    """The folder for such a copy, and its name without the ending."""
    at = datetime.now(UTC)
    return (
        database.parent / FOLDER,
        f"{database.stem}-version-{version}-{at:%Y%m%d-%H%M%S-%f}",
    )


def _copied(database: Path, copy: Path) -> None:
    """SQLite's own backup: whole also while others write."""
    read_only = f"{database.absolute().as_uri()}?mode=ro"
    with (
        closing(sqlite3.connect(read_only, uri=True)) as source,
        closing(sqlite3.connect(copy)) as target,
    ):
        source.backup(target)
        target.execute("PRAGMA journal_mode = DELETE")
    descriptor = os.open(copy, os.O_RDONLY | os.O_CLOEXEC)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)
