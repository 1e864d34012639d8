"""Where records are kept on this machine: one folder, closed to other users."""

from __future__ import annotations

import os
from pathlib import Path

import platformdirs

FOLDER_MODE, FILE_MODE = 0o700, 0o600


def home_folder(chosen: Path | None = None) -> Path:
    """The folder chosen, else that of DICTATE_HOME, else the user's data folder."""
    if chosen is not None:
        return chosen.expanduser()
    named = os.environ.get("DICTATE_HOME")
    if named:
        return Path(named).expanduser()
    return platformdirs.user_data_path("dictate", appauthor=False)


def make_folder(folder: Path) -> None:
    """Create the folder for its owner alone. Raises OSError when that fails."""
    folder.mkdir(mode=FOLDER_MODE, parents=True, exist_ok=True)
    if folder.stat().st_mode & 0o077:
        folder.chmod(FOLDER_MODE)


def make_file(path: Path) -> None:
    """Create the file, if it is not there, for its owner alone. Raises OSError."""
    os.close(os.open(path, os.O_CREAT | os.O_RDWR | os.O_CLOEXEC, FILE_MODE))


def sync_folder(folder: Path) -> None:
    """Make a creation, renaming or removal in the folder survive a power cut."""
    descriptor = os.open(folder, os.O_RDONLY | os.O_DIRECTORY | os.O_CLOEXEC)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)


def write_private(path: Path, data: bytes) -> None:
    """Write a file that only its owner can read; its content survives a power cut.

    Raises OSError, and leaves no part of it.
    """
    descriptor = os.open(path, os.O_CREAT | os.O_TRUNC | os.O_WRONLY | os.O_CLOEXEC, FILE_MODE)
    try:
        write_all(descriptor, data)
        os.fsync(descriptor)
    except OSError:
        path.unlink(missing_ok=True)
        raise
    finally:
        os.close(descriptor)


def write_all(descriptor: int, data: bytes) -> None:
    """Write every byte: a disk that is nearly full takes a part first. Raises OSError."""
    while data:
        data = data[os.write(descriptor, data) :]
