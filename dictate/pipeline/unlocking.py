"""Whether a passphrase opens the records: for a screen that was locked while they are open."""

from __future__ import annotations

from contextlib import suppress
from pathlib import Path

from dictate.errors import StoreError
from dictate.store import keys
from dictate.store.key_file import KeyFile
from dictate.store.keys import WrongPassphraseError


class Door:
    """The passphrase of the store in a folder, as it is now, or was when it could last be read.

    A key file that was taken away or spoilt meanwhile must neither open the door to everybody
    nor shut out whoever knows the passphrase.
    """

    def __init__(self, home: Path) -> None:
        self._home = home
        self._known: KeyFile | None = None
        self.has_passphrase()

    def has_passphrase(self) -> bool:
        """False where none is set: anybody may pass."""
        try:
            file = keys.file_of(self._home)
        except StoreError:
            return self._known is not None
        self._known = file if file.wrapped is not None else None
        return self._known is not None

    def opens(self, passphrase: str) -> bool:
        """True if that is the passphrase. Takes about half a second; raises StoreError."""
        try:
            keys.unwrapped(self._newest(), passphrase)
        except WrongPassphraseError:
            return False
        return True

    def _newest(self) -> KeyFile:
        with suppress(StoreError):
            file = keys.file_of(self._home)
            if self._known is None or (file.wrapped and file.key_id == self._known.key_id):
                self._known = file
        if self._known is None:
            raise StoreError("The key of the records cannot be read; restore it from a backup.")
        return self._known
