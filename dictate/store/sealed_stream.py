"""A long file sealed in pieces, so that it need not fit into memory.

Each piece is AES-256-GCM with a counter for its nonce, the last one marked as such, and bound to
the head of the file: pieces cannot be altered, left out, added or put in another order, and a
file that ends early does not open. (The STREAM construction of Hoang, Reyhanitabar, Rogaway and
Vizar, "Online Authenticated-Encryption and its Nonce-Reuse Misuse-Resistance", 2015.)
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import BinaryIO

from dictate.store.primitives import NONCE_BYTES, TAG_BYTES, decrypt, encrypt

PIECE = 1 << 20
"""Bytes of a piece before it is sealed; only the last may have fewer."""


class SealingWriter:
    """Takes bytes as a file does. The key must be used for this one file alone."""

    def __init__(self, target: BinaryIO, key: bytes, head: bytes) -> None:
        self._target = target
        self._key = key
        self._head = head
        self._count = 0
        self._waiting = bytearray()

    def write(self, data: bytes) -> int:
        """Seal what fills a piece; the rest waits."""
        self._waiting += data
        while len(self._waiting) > PIECE:
            self._put(bytes(self._waiting[:PIECE]), last=False)
            del self._waiting[:PIECE]
        return len(data)

    def finish(self) -> None:
        """Seal the last piece. Without it the file does not open."""
        self._put(bytes(self._waiting), last=True)
        self._waiting.clear()

    def _put(self, piece: bytes, *, last: bool) -> None:
        nonce = _nonce(self._count, last=last)
        self._target.write(encrypt(self._key, nonce, piece, self._head))
        self._count += 1


class OpeningReader:
    """Gives the bytes back as a file does. `read` raises BrokenSealError."""

    def __init__(self, source: BinaryIO, key: bytes, head: bytes) -> None:
        self._pieces = _opened(source, key, head)
        self._ready = bytearray()

    def read(self, size: int) -> bytes:
        """Up to so many bytes; none at the end."""
        while len(self._ready) < size:
            piece = next(self._pieces, None)
            if piece is None:
                break
            self._ready += piece
        data = bytes(self._ready[:size])
        del self._ready[:size]
        return data

    def drain(self) -> None:
        """Read to the end, so that all of it is known to be whole."""
        while self.read(PIECE):
            pass


def _opened(source: BinaryIO, key: bytes, head: bytes) -> Iterator[bytes]:
    count, sealed = 0, source.read(PIECE + TAG_BYTES)
    while True:
        following = source.read(PIECE + TAG_BYTES)
        yield decrypt(key, _nonce(count, last=not following), sealed, head)
        if not following:
            return
        count, sealed = count + 1, following


def _nonce(count: int, *, last: bool) -> bytes:
    return count.to_bytes(NONCE_BYTES - 1, "big") + bytes([last])
