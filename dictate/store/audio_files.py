"""The files of kept sound: found, and deleted with their session."""

from __future__ import annotations

import re
from pathlib import Path

from dictate.store.failures import told
from dictate.store.home import sync_folder

AUDIO, ENDING, UNFINISHED = "audio", ".flac.sealed", ".part"
_NAME = re.compile(r"(?P<session>.+)\.\d{5}\.flac\.(sealed|part)")


def pieces(home: Path, session_id: str | None = None) -> tuple[Path, ...]:
    """Files with the sound of a session, or of all, in order. Raises StoreError."""
    return tuple(each for each in _files(home, session_id) if each.name.endswith(ENDING))


def forget(home: Path, session_id: str) -> None:
    """Delete the sound of a session. Raises StoreError."""
    found = _files(home, session_id)
    with told("delete kept sound"):
        for path in found:
            path.unlink(missing_ok=True)
        if found:
            sync_folder(home / AUDIO)


def path_of(home: Path, session_id: str, number: int) -> Path:
    """Where a piece lies; they are counted from 1."""
    return home / AUDIO / f"{session_id}.{number:05d}{ENDING}"


def _files(home: Path, session_id: str | None) -> list[Path]:
    with told("look for kept sound"):
        folder = home / AUDIO
        paths = sorted(folder.iterdir()) if folder.exists() else []
    named = ((_session_of(path), path) for path in paths)
    return [path for name, path in named if name and session_id in (None, name)]


def _session_of(path: Path) -> str | None:
    found = _NAME.fullmatch(path.name)
    return found["session"] if found else None
