"""The published ciphers that sealing rests on, each as it is used here.

AES-256-GCM: NIST SP 800-38D. AES-SIV: RFC 5297. HKDF-SHA-256: RFC 5869. HMAC-SHA-256: RFC 2104
and FIPS 180-4. scrypt: RFC 7914. All are those of the library `cryptography`; nothing is our own.
"""

from __future__ import annotations

import hashlib
import hmac
import os
from dataclasses import dataclass

from cryptography.exceptions import InvalidTag
from cryptography.hazmat.primitives.ciphers.aead import AESGCM, AESSIV
from cryptography.hazmat.primitives.hashes import SHA256
from cryptography.hazmat.primitives.kdf.hkdf import HKDF
from cryptography.hazmat.primitives.kdf.scrypt import Scrypt

KEY_BYTES, NONCE_BYTES, TAG_BYTES = 32, 12, 16


class BrokenSealError(Exception):
    """The text was altered, belongs elsewhere, or was sealed with another key."""


def encrypt(key: bytes, nonce: bytes, text: bytes, bound: bytes) -> bytes:
    """AES-GCM: ciphertext, then the tag of 16 bytes. A nonce must never come twice."""
    return AESGCM(key).encrypt(nonce, text, bound)


def decrypt(key: bytes, nonce: bytes, sealed: bytes, bound: bytes) -> bytes:
    """The text of `encrypt`. Raises BrokenSealError."""
    try:
        return AESGCM(key).decrypt(nonce, sealed, bound)
    except (InvalidTag, ValueError):
        raise BrokenSealError from None


def seal_bytes(key: bytes, text: bytes, bound: bytes) -> bytes:
    """A random nonce of 96 bits, then what `encrypt` gives."""
    nonce = os.urandom(NONCE_BYTES)
    return nonce + encrypt(key, nonce, text, bound)


def open_bytes(key: bytes, sealed: bytes, bound: bytes) -> bytes:
    """The text of `seal_bytes`. Raises BrokenSealError."""
    return decrypt(key, sealed[:NONCE_BYTES], sealed[NONCE_BYTES:], bound)


def encrypt_alike(key: bytes, text: bytes, bound: bytes) -> bytes:
    """AES-SIV with a key of 64 bytes: equal texts give equal ciphertexts, so they can be found."""
    return AESSIV(key).encrypt(text, [bound])


def decrypt_alike(key: bytes, sealed: bytes, bound: bytes) -> bytes:
    """The text of `encrypt_alike`. Raises BrokenSealError."""
    try:
        return AESSIV(key).decrypt(sealed, [bound])
    except (InvalidTag, ValueError):
        raise BrokenSealError from None


def derived(
    key: bytes, purpose: bytes, length: int = KEY_BYTES, salt: bytes | None = None
) -> bytes:
    """HKDF-SHA-256: a key for one purpose out of another key."""
    return HKDF(algorithm=SHA256(), length=length, salt=salt, info=purpose).derive(key)


def keyed_hash(key: bytes, data: bytes) -> bytes:
    """HMAC-SHA-256."""
    return hmac.new(key, data, hashlib.sha256).digest()


@dataclass(frozen=True, slots=True)
class Cost:
    """What a guess at a passphrase costs: scrypt needs 128 * n * r bytes of memory."""

    n: int = 1 << 17
    r: int = 8
    p: int = 1

    @property
    def is_sane(self) -> bool:
        """False for what would take a machine down, or would be no protection."""
        power = self.n > 1 and self.n & (self.n - 1) == 0
        return power and self.n <= 1 << 20 and 1 <= self.r <= 16 and 1 <= self.p <= 4


def stretched(passphrase: bytes, salt: bytes, cost: Cost, length: int = KEY_BYTES) -> bytes:
    """scrypt: a key out of a passphrase."""
    return Scrypt(salt=salt, length=length, n=cost.n, r=cost.r, p=cost.p).derive(passphrase)
