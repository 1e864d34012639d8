"""Homes as earlier versions of the program left them, made of what those versions wrote.

`store_versions/version_N.sql` is SQLite's own dump of a database that version N wrote: a signed
and amended session s1, a draft s2 (its journal lies beside), a signed session s3. Of version 3,
which seals its records, the key lies beside too, and what that version read in them.
"""

from __future__ import annotations

import json
import shutil
import sqlite3
from contextlib import closing
from pathlib import Path
from typing import Any

from dictate.store.tables import SCHEMA

FOLDER = Path(__file__).parent / "store_versions"
VERSIONS = tuple(range(1, SCHEMA))
"""The earlier versions."""
OPEN = (1, 2)
"""Those that did not seal their records yet."""
STATES = {"s1": "final", "s2": "draft", "s3": "final"}


def dump_of(version: int) -> str:
    return (FOLDER / f"version_{version}.sql").read_text(encoding="utf-8")


def old_home(home: Path, version: int) -> Path:
    """A home of that version, before any later program opened it."""
    (home / "drafts").mkdir(parents=True, mode=0o700)
    with closing(sqlite3.connect(home / "records.db")) as database:
        database.executescript(dump_of(version))
        database.execute("PRAGMA journal_mode = WAL")
    shutil.copy(FOLDER / f"version_{version}_s2.jsonl", home / "drafts" / "s2.jsonl")
    if version not in OPEN:
        shutil.copy(FOLDER / f"version_{version}_store.key", home / "store.key")
        (home / "store.key").chmod(0o600)
    return home


def old_events(version: int) -> dict[str, list[dict[str, Any]]]:
    """What is in that dump, session by session, read by SQLite's and Python's own libraries; of
    sealed records what the version that wrote them read."""
    if version not in OPEN:
        path = FOLDER / f"version_{version}_events.json"
        told: dict[str, list[dict[str, Any]]] = json.loads(path.read_text(encoding="utf-8"))
        return told
    with closing(sqlite3.connect(":memory:")) as database:
        database.executescript(dump_of(version))
        found: dict[str, list[dict[str, Any]]] = {}
        rows = database.execute("SELECT session_id, event FROM events ORDER BY session_id, seq")
        for session, text in rows:
            found.setdefault(session, []).append(json.loads(text))
    return found
