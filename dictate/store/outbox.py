"""Entries of the audit trail that wait on this machine's disk until the database takes them.

One sealed file an entry, so that a kill leaves whole ones: the worst is one entry told twice.
"""

from __future__ import annotations

import os
import secrets
from pathlib import Path

from pydantic import ValidationError

from dictate.errors import StoreError
from dictate.store.database import Database
from dictate.store.failures import told
from dictate.store.home import make_folder, sync_folder, write_private
from dictate.store.primitives import BrokenSealError
from dictate.store.sealing import Sealer, damaged
from dictate.store.trail import TrailEntry

FOLDER, END = "outbox", ".entry"


def put(home: Path, sealer: Sealer, entry: TrailEntry) -> None:
    """Keep an entry. Raises StoreError."""
    folder = home / FOLDER
    name = f"{entry.at:%Y%m%d%H%M%S%f}-{secrets.token_hex(4)}"
    sealed = sealer.seal(entry.model_dump_json(exclude_none=True), _place(name))
    part = folder / f"{name}.part"
    with told("keep the audit trail"):
        make_folder(folder)
        write_private(part, sealed.encode())
        os.replace(part, folder / f"{name}{END}")
        sync_folder(folder)


def waiting(home: Path, sealer: Sealer) -> dict[Path, TrailEntry]:
    """The entries, in order of time. Raises StoreError for one that was altered."""
    found, damage = _read(home, sealer)
    if damage is not None:
        raise damage
    return found


def empty(home: Path, database: Database) -> None:
    """Hand all of them to the database. Raises StoreError, all still waiting.

    One that was altered stays, is told, and does not hold up the others.
    """
    ready, damage = _read(home, database.sealer)
    database.note(*ready.values(), hurry=True)
    with told("keep the audit trail"):
        for file in ready:
            file.unlink(missing_ok=True)
    if damage is not None:
        raise damage


def _read(home: Path, sealer: Sealer) -> tuple[dict[Path, TrailEntry], StoreError | None]:
    """Those that can be read, and what is wrong with one that cannot."""
    found: dict[Path, TrailEntry] = {}
    damage: StoreError | None = None
    with told("read the audit trail"):
        for file in sorted((home / FOLDER).glob(f"*{END}")):
            try:
                found[file] = _entry(file, sealer)
            except FileNotFoundError:
                continue  # another program has handed it over
            except StoreError as error:
                damage = error
    return found, damage


def _entry(file: Path, sealer: Sealer) -> TrailEntry:
    try:
        words = sealer.open(file.read_text("ascii"), _place(file.stem))
        return TrailEntry.model_validate_json(words)
    except (BrokenSealError, ValidationError, UnicodeDecodeError):
        raise damaged(f"The entry {file.name} of the audit trail") from None


def _place(name: str) -> str:
    return f"outbox {name}"
