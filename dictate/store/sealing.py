"""Seals what a store keeps, so that without its key nothing of a record can be read or changed.

A text is sealed for one place ("events.event", "draft s1 <hash before>"): moved to another, it
does not open. Every purpose has a key of its own, derived from the store's one data key.
"""

from __future__ import annotations

import base64
import binascii
import secrets

from dictate.errors import StoreError
from dictate.store.primitives import (
    KEY_BYTES,
    BrokenSealError,
    decrypt_alike,
    derived,
    encrypt_alike,
    keyed_hash,
    open_bytes,
    seal_bytes,
)

ID_BYTES = 8


class Sealer:
    """The unlocked key of a store. May be used by several threads; never printed."""

    def __init__(self, data_key: bytes) -> None:
        self._data_key = data_key
        self._seal_key = derived(data_key, b"dictate seal")
        self._match_key = derived(data_key, b"dictate match", 2 * KEY_BYTES)
        self._chain_key = derived(data_key, b"dictate chain")
        self._file_key = derived(data_key, b"dictate file")
        self.id = derived(data_key, b"dictate id", ID_BYTES).hex()
        """Names the key and says nothing of it: records of another key are told apart."""

    @classmethod
    def new(cls) -> Sealer:
        """One of a new random key."""
        return cls(secrets.token_bytes(KEY_BYTES))

    @property
    def data_key(self) -> bytes:
        """The key itself, for those who wrap it."""
        return self._data_key

    def seal(self, text: str, place: str) -> str:
        """The text sealed for that place, in ASCII letters; differs each time."""
        return _letters(seal_bytes(self._seal_key, text.encode(), place.encode()))

    def open(self, sealed: str, place: str) -> str:
        """The text. Raises BrokenSealError."""
        return open_bytes(self._seal_key, _bytes(sealed), place.encode()).decode()

    def seal_data(self, data: bytes, place: str) -> bytes:
        """Bytes sealed for that place."""
        return seal_bytes(self._seal_key, data, place.encode())

    def open_data(self, sealed: bytes, place: str) -> bytes:
        """The bytes of `seal_data`. Raises BrokenSealError."""
        return open_bytes(self._seal_key, sealed, place.encode())

    def seal_alike(self, text: str, place: str) -> str:
        """As `seal`, but equal texts look equal: for what a database has to find."""
        return _letters(encrypt_alike(self._match_key, text.encode(), place.encode()))

    def open_alike(self, sealed: str, place: str) -> str:
        """The text of `seal_alike`. Raises BrokenSealError."""
        return decrypt_alike(self._match_key, _bytes(sealed), place.encode()).decode()

    def mark(self, text: str) -> str:
        """A keyed hash in hexadecimal: nobody without the key can make or guess at one."""
        return keyed_hash(self._chain_key, text.encode()).hex()

    def file_key(self, purpose: bytes, salt: bytes) -> bytes:
        """A key for one whole file, told apart by its purpose and a random salt."""
        return derived(self._file_key, purpose, salt=salt)


class SealError(StoreError):
    """What was sealed does not open: it was altered, or moved, or belongs to another store."""


def damaged(where: str) -> SealError:
    """The line for what does not open. `where` begins it: "A cell of ..."."""
    return SealError(
        f"{where} has been altered or damaged, or was sealed with another key; "
        "restore it from a backup."
    )


def _letters(data: bytes) -> str:
    return base64.urlsafe_b64encode(data).decode()


def _bytes(letters: str) -> bytes:
    """Strictly those letters: two spellings of one seal would be one that can be altered."""
    try:
        data = base64.b64decode(letters, altchars=b"-_", validate=True)
    except (binascii.Error, ValueError):
        raise BrokenSealError from None
    if _letters(data) != letters:
        raise BrokenSealError
    return data
