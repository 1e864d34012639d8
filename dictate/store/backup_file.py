"""The file of a backup: a head in plain words, then a sealed archive of the store's files.

The head carries the store's key wrapped with a passphrase, so that the file opens with that
passphrase alone; or no key, for a copy that stays with its store.
"""

from __future__ import annotations

import base64
import os
import secrets
import tarfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO, Self, cast

from pydantic import AwareDatetime, BaseModel, ConfigDict

from dictate.errors import StoreError
from dictate.store.failures import told
from dictate.store.home import FILE_MODE
from dictate.store.key_file import KeyFile, Letters, summed, unsummed
from dictate.store.keys import unwrapped
from dictate.store.primitives import BrokenSealError
from dictate.store.sealed_stream import OpeningReader, SealingWriter
from dictate.store.sealing import Sealer

SIGN = b"dictate backup 1\n"
LONGEST_HEAD = 1 << 16
SALT_BYTES = 32


class Head(BaseModel):
    """What can be read without a key."""

    model_config = ConfigDict(extra="forbid", frozen=True, hide_input_in_errors=True)

    made: AwareDatetime
    key_id: str
    key: KeyFile | None
    """The store's key under a passphrase; None: the file opens with its store's key only."""
    salt: Letters

    @classmethod
    def of(cls, made: AwareDatetime, sealer: Sealer, key: KeyFile | None) -> Self:
        salt = base64.b64encode(secrets.token_bytes(SALT_BYTES)).decode()
        return cls(made=made, key_id=sealer.id, key=key, salt=salt)

    @property
    def data(self) -> bytes:
        return SIGN + summed(self.model_dump_json())

    def file_key(self, sealer: Sealer) -> bytes:
        """The key of this one file."""
        return sealer.file_key(b"backup", base64.b64decode(self.salt))


@contextmanager
def new_backup(path: Path, head: Head, sealer: Sealer) -> Iterator[tarfile.TarFile]:
    """An archive to add files to. The file is there, whole, when this ends, or not at all.

    Raises StoreError when it is there already, or cannot be written.
    """
    with told("write the backup"):
        try:
            handle = os.open(path, os.O_CREAT | os.O_EXCL | os.O_WRONLY | os.O_CLOEXEC, FILE_MODE)
        except FileExistsError:
            raise StoreError(f"{path} exists already; choose another name.") from None
        try:
            with open(handle, "wb") as file:
                file.write(head.data)
                writer = SealingWriter(file, head.file_key(sealer), head.data)
                with tarfile.open(fileobj=cast(BinaryIO, writer), mode="w|") as archive:
                    yield archive
                writer.finish()
                file.flush()
                os.fsync(handle)
        except BaseException:
            path.unlink(missing_ok=True)
            raise


def add(archive: tarfile.TarFile, name: str, content: BinaryIO, size: int) -> None:
    """Put a file of that many bytes into the archive."""
    entry = tarfile.TarInfo(name)
    entry.size, entry.mode = size, FILE_MODE
    archive.addfile(entry, content)


def head_of(path: Path) -> Head:
    """The head of a backup. Raises StoreError for a file that is none."""
    with told("read the backup"), open(path, "rb") as file:
        return _head(file, path)


def unlocked(path: Path, passphrase: str) -> Sealer:
    """The key that the backup carries. Raises WrongPassphraseError, StoreError."""
    head = head_of(path)
    if head.key is None:
        raise StoreError(f"{path} opens with the key of its own store only; restore it there.")
    return unwrapped(head.key, passphrase)


def unpack(path: Path, sealer: Sealer, put: Callable[[str, BinaryIO], None]) -> None:
    """Hand every file in the backup to `put`. What came must be forgotten if this fails.

    Raises StoreError for a file that was altered, or is not whole.
    """
    with told("read the backup"), open(path, "rb") as file:
        head = _head(file, path)
        if head.key_id != sealer.id:
            raise StoreError(f"{path} was sealed with the key of another store.")
        reader = OpeningReader(file, head.file_key(sealer), head.data)
        try:
            with tarfile.open(fileobj=cast(BinaryIO, reader), mode="r|") as archive:
                for entry in archive:
                    content = archive.extractfile(entry)
                    if content is not None:
                        put(entry.name, cast(BinaryIO, content))
            reader.drain()
        except (BrokenSealError, tarfile.TarError, EOFError):
            raise _not_whole(path) from None


def _head(file: BinaryIO, path: Path) -> Head:
    if file.read(len(SIGN)) != SIGN:
        raise StoreError(f"{path} is no backup of this program.")
    line = file.readline(LONGEST_HEAD)
    try:
        head = Head.model_validate_json(unsummed(line))
    except ValueError:
        raise _not_whole(path) from None
    if head.data != SIGN + line:
        raise _not_whole(path)
    return head


def _not_whole(path: Path) -> StoreError:
    return StoreError(
        f"{path} has been altered or is not whole; nothing was restored: take another backup."
    )
