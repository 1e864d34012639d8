"""A disk that can be filled and freed again: a small one of its own, or one that only says so."""

from __future__ import annotations

import errno
import os
import subprocess
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, event

SIZE = "4m"


class SmallDisk:
    """A file system in memory, of a few megabytes, mounted on a folder: it is really full."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._ballast = folder / "ballast"

    def fill(self) -> None:
        """To the last byte."""
        size = 1 << 16
        with open(self._ballast, "ab", buffering=0) as file:
            while size:
                try:
                    file.write(bytes(size))
                except OSError:
                    size //= 2

    def free(self) -> None:
        self._ballast.unlink()


class SaysFull:
    """Any folder, on which from `fill` to `free` each write fails as on a full disk.

    The program's own writes fail with ENOSPC, as write(2) tells it; SQLite may not add a page,
    which it tells as SQLITE_FULL, like a disk without room for one.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._real: dict[str, Callable[..., Any]] = {}
        event.listen(Engine, "begin", self._limit_pages)

    def fill(self) -> None:
        def refuse(*_: object) -> int:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

        for name in ("write", "fsync"):
            self._real[name] = getattr(os, name)
            setattr(os, name, refuse)

    def free(self) -> None:
        for name, call in self._real.items():
            setattr(os, name, call)
        self._real.clear()

    def close(self) -> None:
        self.free()
        event.remove(Engine, "begin", self._limit_pages)

    def _limit_pages(self, connection: Connection) -> None:
        if connection.dialect.name == "sqlite":  # it takes what is there for the least limit
            limit = 1 if self._real else 1_000_000
            connection.exec_driver_sql(f"PRAGMA max_page_count = {limit}")


FullDisk = SmallDisk | SaysFull


@contextmanager
def small_disk(folder: Path) -> Iterator[SmallDisk]:
    """Mounted while the block lasts. Raises CalledProcessError where that is not allowed."""
    command = ["mount", "-t", "tmpfs", "-o", f"size={SIZE},mode=700", "tmpfs", str(folder)]
    subprocess.run(command, check=True, capture_output=True)
    try:
        yield SmallDisk(folder)
    finally:
        subprocess.run(["umount", "--lazy", str(folder)], check=True)


@contextmanager
def says_full(folder: Path) -> Iterator[SaysFull]:
    disk = SaysFull(folder)
    try:
        yield disk
    finally:
        disk.close()


def can_mount(folder: Path) -> bool:
    """True where a small disk can be made: as root, with the right to mount."""
    try:
        with small_disk(folder):
            return True
    except (OSError, subprocess.CalledProcessError):
        return False
