"""Records from before sealing: found, and sealed once, so that a kill at any moment loses nothing.

The database is sealed by a step of its migration, all of it or nothing. A draft's journal is
written anew beside the old one and put in its place.
"""

from __future__ import annotations

import hashlib
import os
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

from dictate.errors import StoreError
from dictate.store import chain, keys
from dictate.store.chain import Record
from dictate.store.failures import told
from dictate.store.journal import lock
from dictate.store.key_file import KEY_FILE
from dictate.store.lines import SealedLines, is_plain, is_sealed, reading_of
from dictate.store.replacing import replace_file
from dictate.store.sealing import Sealer

DATABASE, DRAFTS, JOURNAL, TORN = "records.db", "drafts", ".jsonl", ".torn"
SEALED_SINCE = 3
"""The version of the database that is sealed."""


class PlainLines:
    """Lines of a journal from before sealing: "<hash> <hash before> <event as JSON>"."""

    def record(self, line: bytes, *, where: str) -> Record | None:
        try:
            hash_, prev, text = line.decode().split(" ", 2)
        except ValueError:
            return None
        if hashlib.sha256(f"{prev} {text}".encode()).hexdigest() != hash_:
            return None
        return chain.understood(text, prev, hash_, where=where)


def opened_or_made(home: Path) -> Sealer:
    """The key of the home folder; a new one where nothing is sealed yet.

    Raises LockedError when a passphrase is needed, StoreError when the key is lost or damaged.
    """
    if keys.state(home) != "none":
        return keys.bare(home)
    with told("open the store"):
        version = database_version(home / DATABASE)
        journals = [path.read_bytes() for path in _files(home, JOURNAL)]
    if version >= SEALED_SINCE or any(map(is_sealed, journals)):
        raise StoreError(
            f"{KEY_FILE} is missing in {home}, and nothing else opens the records there; "
            "restore it from a backup."
        )
    return keys.create(home, converting=version > 0 or any(map(is_plain, journals)))


def refuse_planted(home: Path) -> None:
    """Raises StoreError for a database from before sealing where all was sealed already.

    It would be sealed, and taken for a record, though nobody with the key has written it.
    """
    if 0 < database_version(home / DATABASE) < SEALED_SINCE and not keys.is_converting(home):
        raise StoreError(
            f"{home / DATABASE} is not sealed, though this store is: restore a backup, or open "
            "the old records in a folder of their own with --home."
        )


def holds_records(home: Path) -> bool:
    """True if a store was begun there. Raises StoreError."""
    with told("open the store"):
        return any((home / name).exists() for name in (KEY_FILE, DATABASE, DRAFTS))


def database_version(file: Path) -> int:
    """The version of an SQLite database; 0 if there is none that can be read."""
    if not file.exists():
        return 0
    try:
        with closing(sqlite3.connect(f"{file.absolute().as_uri()}?mode=rw", uri=True)) as database:
            (version,) = database.execute("SELECT max(version) FROM schema_version").fetchone()
    except sqlite3.Error:
        return 0
    return int(version or 0)


def seal_drafts(home: Path, sealer: Sealer) -> tuple[StoreError, ...]:
    """Seal every draft that is not; why that failed with some, which stay as they are."""
    failures = []
    for path in _files(home, JOURNAL):
        try:
            seal_journal(path, sealer)
        except StoreError as error:
            failures.append(error)
    for path in _files(home, TORN):
        with told("seal what a crash left of a draft"):
            data = path.read_bytes()
            if b"{" in data:
                _seal_torn(path, data, sealer)
    return tuple(failures)


def seal_journal(path: Path, sealer: Sealer) -> None:
    """Put the draft's events under the key. Raises StoreError, leaving the journal as it is."""
    with told("seal the draft"):
        descriptor = os.open(path, os.O_RDWR | os.O_CLOEXEC)
        try:
            lock(descriptor, path)
            data = path.read_bytes()
            if data and not is_sealed(data):
                reading = reading_of(data, path.stem, PlainLines())
                form = SealedLines(sealer, path.stem)
                records = chain.linked_anew(sealer, reading.records)
                if reading.torn:
                    _seal_torn(path.with_suffix(TORN), reading.torn, sealer)
                replace_file(path, b"".join(map(form.line, records)))
        finally:
            os.close(descriptor)


def _seal_torn(path: Path, data: bytes, sealer: Sealer) -> None:
    replace_file(path, sealer.seal(data.decode("latin-1"), f"torn {path.stem}").encode())


def _files(home: Path, ending: str) -> Iterator[Path]:
    folder = home / DRAFTS
    if folder.exists():
        yield from sorted(Path(each) for each in folder.iterdir() if each.name.endswith(ending))
