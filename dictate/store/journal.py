"""The journal of one draft: an append-only file that is on the disk before a step counts.

Each line is "<hash> <hash before> <sealed event>", sealed for its draft and place in it. One
program at a time may hold it.
"""

from __future__ import annotations

import fcntl
import os
import time
from collections.abc import Sequence
from pathlib import Path

from dictate.errors import StoreError
from dictate.store import chain
from dictate.store.chain import Record
from dictate.store.failures import told
from dictate.store.home import FILE_MODE, make_folder, sync_folder, write_all, write_private
from dictate.store.lines import Reading, SealedLines, reading_of
from dictate.store.sealing import Sealer

KEEP = "keep the draft"
ATTEMPTS = 5


class DraftInUseError(StoreError):
    """Another program holds the draft."""


def read(path: Path, sealer: Sealer) -> Reading:
    """All whole acts. Raises StoreError naming the line when one is damaged or was altered."""
    with told("read the draft"):
        data = path.read_bytes()
    return reading_of(data, path.stem, SealedLines(sealer, path.stem))


class Journal:
    """An open journal, locked for this program until `close`."""

    def __init__(self, path: Path, sealer: Sealer, descriptor: int, reading: Reading) -> None:
        self.path = path
        self.sealer = sealer
        self.records = reading.records
        """What it held on opening and what was appended since."""
        self._descriptor = descriptor
        self._end = reading.good

    @classmethod
    def create(cls, path: Path, sealer: Sealer) -> Journal:
        """A new, empty one. Raises StoreError when it is there already."""
        with told(KEEP):
            make_folder(path.parent)
            for _ in range(ATTEMPTS):
                try:
                    descriptor = os.open(path, _FLAGS | os.O_CREAT | os.O_EXCL, FILE_MODE)
                except FileExistsError:
                    raise StoreError(
                        f"There is a draft {path.stem} already; resume or discard it."
                    ) from None
                journal = cls(path, sealer, descriptor, Reading((), 0))
                if journal._hold():
                    return journal
        raise DraftInUseError(
            f"Another program keeps taking the draft {path.stem}; close it and try again."
        )

    def _hold(self) -> bool:
        """Lock the new file. False if another program, tidying up, found it empty first."""
        try:
            lock(self._descriptor, self.path)
            sync_folder(self.path.parent)
        except DraftInUseError:
            time.sleep(0.02)
            self.path.unlink(missing_ok=True)
        except BaseException:
            self.path.unlink(missing_ok=True)  # or it would stand in the way of the next attempt
            self.close()
            raise
        if os.fstat(self._descriptor).st_nlink:
            return True
        self.close()
        return False

    @classmethod
    def open(cls, path: Path, sealer: Sealer) -> tuple[Journal, bytes]:
        """An existing one, with what had to be cut off its end: a torn act.

        Raises StoreError when it is missing, damaged, or held by another program. The torn
        bytes are kept beside it in a file ".torn".
        """
        with told("open the draft"):
            try:
                descriptor = os.open(path, _FLAGS)
            except FileNotFoundError:
                raise _missing(path) from None
            try:
                lock(descriptor, path)
                if not os.fstat(descriptor).st_nlink:  # its holder removed it meanwhile
                    raise _missing(path)
                reading = read(path, sealer)
                if reading.torn:
                    write_private(path.with_suffix(".torn"), reading.torn)
                    os.ftruncate(descriptor, reading.good)
                    os.fsync(descriptor)
            except BaseException:
                os.close(descriptor)
                raise
        return cls(path, sealer, descriptor, reading), reading.torn

    @property
    def head(self) -> str:
        """The hash of the last record."""
        return self.records[-1].hash if self.records else chain.FIRST

    def append(self, records: Sequence[Record]) -> None:
        """Put the records on the disk: when this returns they survive a power cut.

        Raises StoreError when they do not; the journal is then as it was before.
        """
        form = SealedLines(self.sealer, self.path.stem)
        lines = b"".join(map(form.line, records))
        with told(KEEP):
            # What a failed append left behind goes first, also when taking it back failed then.
            os.ftruncate(self._descriptor, self._end)
            try:
                write_all(self._descriptor, lines)
                os.fsync(self._descriptor)
            except OSError:
                self._take_back()
                raise
        self._end += len(lines)
        self.records = (*self.records, *records)

    def _take_back(self) -> None:
        try:
            os.ftruncate(self._descriptor, self._end)
        except OSError:
            return  # the next append or opening cuts it off

    def remove(self) -> None:
        """Delete the file, once its records are kept elsewhere."""
        with told("remove the draft"):
            self.path.unlink(missing_ok=True)
            self.path.with_suffix(".torn").unlink(missing_ok=True)
            sync_folder(self.path.parent)
        self.close()

    def close(self) -> None:
        """Release it for other programs. May be called twice."""
        if self._descriptor >= 0:
            os.close(self._descriptor)
            self._descriptor = -1


_FLAGS = os.O_RDWR | os.O_APPEND | os.O_CLOEXEC


def _missing(path: Path) -> StoreError:
    return StoreError(f"There is no draft {path.stem}; list the sessions to see which there are.")


def lock(descriptor: int, path: Path) -> None:
    """Hold the open journal for this program. Raises DraftInUseError."""
    try:
        fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        raise DraftInUseError(
            f"The draft {path.stem} is open in another program; close it there first."
        ) from None
