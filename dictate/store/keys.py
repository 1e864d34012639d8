"""The key of a store: one random key seals everything, and lies in `store.key` in the home folder.

With a passphrase the key lies there wrapped: scrypt makes a key of the passphrase, AES-256-GCM
wraps the store's with it. Without one it lies there as it is: the records are sealed, and whoever
has the folder can open them.

Nothing here asks anybody. A shell that needs a passphrase does this:

    if keys.state(home) == "wrapped":
        sealer = keys.unlock(home, passphrase)   # WrongPassphraseError: ask again
        store = Store(home, sealer=sealer)
    else:
        store = Store(home)

and a screen that was locked asks `keys.verify(home, passphrase)`. Both take about half a second,
on purpose: call them from a thread where a screen must not stand still.
"""

from __future__ import annotations

import unicodedata
from contextlib import suppress
from pathlib import Path
from typing import Literal

from dictate.errors import StoreError
from dictate.store.failures import told
from dictate.store.home import FOLDER_MODE, make_folder
from dictate.store.key_file import KEY_FILE, KeyFile, Wrapping
from dictate.store.primitives import BrokenSealError, Cost
from dictate.store.replacing import ChangedMeanwhileError, clear_leftover, replace_file
from dictate.store.sealing import Sealer

SHORTEST = 12
"""Characters of a passphrase: a stolen folder can be tried without end. Common practice, no
source."""

State = Literal["none", "bare", "wrapped"]


class LockedError(StoreError):
    """The key is wrapped, and no passphrase was given."""


class WrongPassphraseError(StoreError):
    """The passphrase does not unwrap the key."""


def state(home: Path) -> State:
    """ "none": no key yet; "bare": no passphrase is set; "wrapped": one is needed.

    Raises StoreError for a damaged key file.
    """
    file = _read(home)
    if file is None:
        return "none"
    return "bare" if file.bare else "wrapped"


def unlock(home: Path, passphrase: str) -> Sealer:
    """The key, by its passphrase. Raises WrongPassphraseError, StoreError."""
    return unwrapped(file_of(home), passphrase)


def unwrapped(file: KeyFile, passphrase: str) -> Sealer:
    """The key in that file. Raises WrongPassphraseError, StoreError where none is needed."""
    if file.wrapped is None:
        raise StoreError("No passphrase is set; `dictate passphrase set` sets one.")
    try:
        key = file.wrapped.opened(_bytes(passphrase), file.key_id)
    except BrokenSealError:
        raise WrongPassphraseError("That is not the passphrase; nothing was changed.") from None
    except MemoryError:
        raise StoreError(
            "There is too little memory to open the records (128 MB are needed); close other "
            "programs and try again."
        ) from None
    return file.checked(Sealer(key))


def verify(home: Path, passphrase: str) -> bool:
    """True if that is the passphrase. Raises StoreError where none is set."""
    try:
        unlock(home, passphrase)
    except WrongPassphraseError:
        return False
    return True


def bare(home: Path) -> Sealer:
    """The key of a store without a passphrase. Raises LockedError where one is set."""
    file = file_of(home)
    if file.bare is None:
        raise LockedError(
            "The records are locked with a passphrase; run it in a terminal, or name a file that "
            "holds the passphrase in DICTATE_PASSPHRASE_FILE."
        )
    return file.checked(Sealer(file.bare_key()))


def create(home: Path, *, converting: bool = False) -> Sealer:
    """A new key without a passphrase, or the one that another program made meanwhile.

    `converting`: the home still holds records that are not sealed. Raises StoreError.
    """
    file = KeyFile.of_bare(Sealer.new(), converting=converting)
    with told("make the key of the store"):
        home.mkdir(mode=FOLDER_MODE, parents=True, exist_ok=True)
        replace_file(home / KEY_FILE, file.data, only_new=True)
        make_folder(home)
    return bare(home)


def wrap(home: Path, sealer: Sealer, passphrase: str, cost: Cost | None = None) -> None:
    """Set or change the passphrase: the old key file or the new one is there, never neither.

    Raises StoreError for a passphrase that is too short, and when the disk refuses.
    """
    old = file_of(home)
    _replace(home, old, wrapped_file(sealer, passphrase, old.converting, cost))


def unwrap(home: Path, sealer: Sealer) -> None:
    """Take the passphrase away: the key lies in the file as it is."""
    old = file_of(home)
    _replace(home, old, KeyFile.of_bare(sealer, converting=old.converting))


def wrapped_file(
    sealer: Sealer, passphrase: str, converting: bool = False, cost: Cost | None = None
) -> KeyFile:
    """A key file that opens with the passphrase. Raises StoreError for one too short."""
    refuse_short(passphrase)
    wrapped = Wrapping.of(sealer, _bytes(passphrase), cost or Cost())
    return KeyFile.of_wrapped(sealer, wrapped, converting=converting)


def refuse_short(passphrase: str) -> None:
    """Raises StoreError for a passphrase that is no protection."""
    if len(passphrase) < SHORTEST:
        raise StoreError(
            f"The passphrase is shorter than {SHORTEST} characters; choose a longer one, "
            "such as four words."
        )


def is_converting(home: Path) -> bool:
    """True while records from before sealing may still lie here as they were."""
    file = _read(home)
    return file is not None and file.converting


def conversion_is_done(home: Path, sealer: Sealer) -> None:
    """From now on nothing that is not sealed is taken for a record."""
    old = file_of(home)
    _replace(home, old, old.marked(sealer, converting=False))


def file_of(home: Path) -> KeyFile:
    """The key file of a store. Raises StoreError when it is missing or damaged."""
    file = _read(home)
    if file is None:
        raise StoreError(f"There is no {KEY_FILE} in {home}; restore it from a backup.")
    return file


def _read(home: Path) -> KeyFile | None:
    with suppress(OSError):
        clear_leftover(home / KEY_FILE)
    with told("read the key of the store"):
        for attempt in range(3):
            try:
                data = (home / KEY_FILE).read_bytes()
            except (FileNotFoundError, NotADirectoryError):
                return None
            try:
                return KeyFile.read(data)
            except StoreError:
                if attempt == 2:  # it may have been replaced while it was read
                    raise
    raise AssertionError


def _replace(home: Path, old: KeyFile, new: KeyFile) -> None:
    """Raises StoreError where another program was quicker: its passphrase must not get lost."""
    with told("change the key file"):
        try:
            replace_file(home / KEY_FILE, new.data, instead_of=old.data)
        except ChangedMeanwhileError:
            raise StoreError(
                "Another program has changed the passphrase at the same moment; try again."
            ) from None


def _bytes(passphrase: str) -> bytes:
    """However a keyboard composes an accent, it is the same passphrase (NFC, RFC 8265)."""
    return unicodedata.normalize("NFC", passphrase).encode()
