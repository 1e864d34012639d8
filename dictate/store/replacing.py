"""Replaces a small file that holds a secret: after a kill the old or the new one is there."""

from __future__ import annotations

import fcntl
import os
from contextlib import suppress
from pathlib import Path

from dictate.store.home import FILE_MODE, sync_folder, write_all


class ChangedMeanwhileError(Exception):
    """Another program has replaced the file."""


def replace_file(
    path: Path, data: bytes, *, only_new: bool = False, instead_of: bytes | None = None
) -> None:
    """Put the bytes there so that a kill or a power cut leaves the old file or the new one.

    What the old one held is overwritten, as far as the disk writes in place. `only_new`: a file
    that is there already stays. `instead_of`: what the file must hold still. Raises OSError,
    ChangedMeanwhileError.
    """
    beside = _beside(path)
    handle = _held(beside)
    try:
        if instead_of is not None and path.read_bytes() != instead_of:
            os.unlink(beside)
            raise ChangedMeanwhileError
        os.ftruncate(handle, 0)
        write_all(handle, data)
        os.fsync(handle)
        if only_new:
            with suppress(FileExistsError):
                os.link(beside, path)
            os.unlink(beside)
        else:
            _replace(beside, path)
    finally:
        os.close(handle)
    sync_folder(path.parent)


def clear_leftover(path: Path) -> None:
    """Remove what a kill left beside the file: it may hold a secret that was to go away."""
    try:
        handle = os.open(_beside(path), os.O_RDWR | os.O_CLOEXEC)
    except (FileNotFoundError, NotADirectoryError):
        return
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        if _is_at(handle, _beside(path)):
            _beside(path).unlink()
            _overwrite(handle)
    except BlockingIOError:
        pass  # another program is writing it just now
    finally:
        os.close(handle)


def _replace(beside: Path, path: Path) -> None:
    try:
        old = os.open(path, os.O_RDWR | os.O_CLOEXEC)
    except FileNotFoundError:
        os.replace(beside, path)
        return
    try:
        os.replace(beside, path)
        sync_folder(path.parent)
        _overwrite(old)
    finally:
        os.close(old)


def _overwrite(handle: int) -> None:
    """Zeros over a file that has no name any more; one with another name is in use."""
    state = os.fstat(handle)
    if state.st_nlink == 0:
        os.pwrite(handle, bytes(state.st_size), 0)
        os.fsync(handle)


def _held(beside: Path) -> int:
    """The file to write, locked, and none that another program has put in place meanwhile."""
    while True:
        handle = os.open(beside, os.O_CREAT | os.O_RDWR | os.O_CLOEXEC, FILE_MODE)
        try:
            fcntl.flock(handle, fcntl.LOCK_EX)
            if _is_at(handle, beside):
                if os.fstat(handle).st_nlink == 1:
                    return handle
                beside.unlink()  # a kill after linking it: that is the file itself
        except BaseException:
            os.close(handle)
            raise
        os.close(handle)


def _is_at(handle: int, path: Path) -> bool:
    try:
        return os.path.samestat(os.fstat(handle), os.stat(path))
    except FileNotFoundError:
        return False


def _beside(path: Path) -> Path:
    return path.with_name(f"{path.name}.new")
