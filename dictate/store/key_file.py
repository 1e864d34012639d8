"""`store.key`: one line of JSON with a store's key, wrapped or bare, and how it is wrapped."""

from __future__ import annotations

import base64
import hashlib
import json
import secrets
from typing import Annotated, Literal, Self

from pydantic import AfterValidator, BaseModel, ConfigDict, model_validator

from dictate.errors import StoreError
from dictate.store.primitives import (
    KEY_BYTES,
    Cost,
    keyed_hash,
    open_bytes,
    seal_bytes,
    stretched,
)
from dictate.store.sealing import Sealer

KEY_FILE = "store.key"
SALT_BYTES = 16
_STRICT = ConfigDict(extra="forbid", frozen=True, strict=True, hide_input_in_errors=True)


def _is_base64(text: str) -> str:
    if _letters(base64.b64decode(text, validate=True)) != text:
        raise ValueError
    return text


Letters = Annotated[str, AfterValidator(_is_base64)]
"""Bytes in base64, spelt in the one right way."""


def summed(text: str) -> bytes:
    """A line: the text, then its SHA-256, which tells damage from a wrong passphrase."""
    return f"{text} {hashlib.sha256(text.encode()).hexdigest()}\n".encode()


def unsummed(line: bytes) -> str:
    """The text of such a line. Raises ValueError for one that was altered."""
    text = line.decode("ascii").rstrip("\n").rpartition(" ")[0]
    if summed(text) != line:
        raise ValueError
    return text


class Wrapping(BaseModel):
    """The key under a passphrase, and what it took to make it so."""

    model_config = _STRICT

    kdf: Literal["scrypt"] = "scrypt"
    n: int
    r: int
    p: int
    salt: Letters
    sealed: Letters

    @classmethod
    def of(cls, sealer: Sealer, passphrase: bytes, cost: Cost) -> Self:
        salt = secrets.token_bytes(SALT_BYTES)
        wrapping = stretched(passphrase, salt, cost)
        sealed = seal_bytes(wrapping, sealer.data_key, _bound(sealer.id, cost))
        return cls(n=cost.n, r=cost.r, p=cost.p, salt=_letters(salt), sealed=_letters(sealed))

    @model_validator(mode="after")
    def _bounded(self) -> Self:
        if not self.cost.is_sane:
            raise ValueError
        return self

    @property
    def cost(self) -> Cost:
        return Cost(self.n, self.r, self.p)

    def opened(self, passphrase: bytes, key_id: str) -> bytes:
        """The data key. Raises BrokenSealError for another passphrase."""
        wrapping = stretched(passphrase, base64.b64decode(self.salt), self.cost)
        return open_bytes(wrapping, base64.b64decode(self.sealed), _bound(key_id, self.cost))


class KeyFile(BaseModel):
    """Holds either `bare` or `wrapped`."""

    model_config = _STRICT

    format: Literal[1] = 1
    key_id: str
    bare: Letters | None = None
    wrapped: Wrapping | None = None
    converting: bool = False
    """True while the home may hold records from before sealing."""
    mark: str
    """HMAC of all above under the key: nobody without it sets `converting` again."""

    @classmethod
    def of_bare(cls, sealer: Sealer, *, converting: bool = False) -> Self:
        return cls._marked(sealer, bare=_letters(sealer.data_key), converting=converting)

    @classmethod
    def of_wrapped(cls, sealer: Sealer, wrapped: Wrapping, *, converting: bool = False) -> Self:
        return cls._marked(sealer, wrapped=wrapped, converting=converting)

    @classmethod
    def _marked(
        cls,
        sealer: Sealer,
        *,
        bare: str | None = None,
        wrapped: Wrapping | None = None,
        converting: bool,
    ) -> Self:
        plain = cls(key_id=sealer.id, bare=bare, wrapped=wrapped, converting=converting, mark="")
        return plain.model_copy(update={"mark": plain._mark(sealer)})

    @classmethod
    def read(cls, data: bytes) -> Self:
        """The key file of those bytes. Raises StoreError if a single one was changed."""
        try:
            file = cls.model_validate_json(unsummed(data))
        except ValueError:
            raise _damaged() from None
        if file.data != data or (file.bare is None) == (file.wrapped is None):
            raise _damaged()
        return file

    @property
    def data(self) -> bytes:
        return summed(self.model_dump_json())

    def bare_key(self) -> bytes:
        """The key, where no passphrase is set. Raises StoreError."""
        key = base64.b64decode(self.bare or "")
        if len(key) != KEY_BYTES:
            raise _damaged()
        return key

    def checked(self, sealer: Sealer) -> Sealer:
        """The same, if this file was made with it. Raises StoreError."""
        if sealer.id != self.key_id or not secrets.compare_digest(self.mark, self._mark(sealer)):
            raise _damaged()
        return sealer

    def marked(self, sealer: Sealer, *, converting: bool) -> Self:
        """The same with `converting` as given."""
        return self._marked(sealer, bare=self.bare, wrapped=self.wrapped, converting=converting)

    def _mark(self, sealer: Sealer) -> str:
        rest = self.model_dump(exclude={"mark"})
        text = json.dumps(rest, sort_keys=True).encode()
        return keyed_hash(sealer.file_key(b"key file", b""), text).hex()


def _letters(data: bytes) -> str:
    return base64.b64encode(data).decode()


def _bound(key_id: str, cost: Cost) -> bytes:
    return f"{KEY_FILE} {key_id} scrypt {cost.n} {cost.r} {cost.p}".encode()


def _damaged() -> StoreError:
    return StoreError(
        f"{KEY_FILE} has been altered or damaged; nothing was changed: restore it from a backup."
    )
