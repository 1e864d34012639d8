"""A key for tests, and what it seals opened by other means than the program's own."""

from __future__ import annotations

import base64
import hashlib
import hmac
import json
from collections.abc import Iterable
from pathlib import Path

from cryptography.hazmat.primitives.ciphers import Cipher, algorithms, modes

from dictate.exam.events import Event
from dictate.store import chain
from dictate.store.chain import FIRST, Record
from dictate.store.sealing import Sealer

SEALER = Sealer(bytes(range(32)))


def seal(events: Iterable[Event], prev: str = FIRST) -> tuple[Record, ...]:
    return chain.linked(SEALER, events, prev)


def data_key(home: Path) -> bytes:
    """The key in a `store.key` without a passphrase."""
    text = (home / "store.key").read_text().rpartition(" ")[0]
    return base64.b64decode(json.loads(text)["bare"])


def derived_apart(key: bytes, purpose: bytes) -> bytes:
    """HKDF as RFC 5869 writes it, for one block: extract with a salt of zeros, then expand."""
    extracted = hmac.new(bytes(32), key, hashlib.sha256).digest()
    return hmac.new(extracted, purpose + b"\x01", hashlib.sha256).digest()


def opened_apart(key: bytes, sealed: str, place: str) -> str:
    """By the cipher's own interface, step by step. Raises InvalidTag."""
    data = base64.urlsafe_b64decode(sealed)
    cipher = Cipher(
        algorithms.AES(derived_apart(key, b"dictate seal")), modes.GCM(data[:12], data[-16:])
    )
    decryptor = cipher.decryptor()
    decryptor.authenticate_additional_data(place.encode())
    return (decryptor.update(data[12:-16]) + decryptor.finalize()).decode()


def marked_apart(key: bytes, text: str) -> str:
    """HMAC-SHA-256 by the standard library."""
    return hmac.new(derived_apart(key, b"dictate chain"), text.encode(), "sha256").hexdigest()
