"""The model's tokeniser: a table of byte-pair pieces, read from its length-prefixed file."""

from __future__ import annotations

import itertools
from pathlib import Path

START, END = 1, 2
FIRST_PIECE = 259
"""Ids below are control tokens and single bytes."""
SPACE = "▁"


def read_pieces(path: Path) -> list[bytes]:
    """The pieces in the order of their ids; lengths of 128 and more take two bytes."""
    data, pieces, at = path.read_bytes(), [], 0
    while at < len(data):
        size = data[at]
        at += 1
        if size >= 128:
            size = data[at] * 128 + size - 128
            at += 1
        pieces.append(data[at : at + size])
        at += size
    return pieces


class Tokeniser:
    """Text to ids and back. Earlier ids are earlier merges, so the lowest id merges first."""

    def __init__(self, path: Path) -> None:
        self._pieces = read_pieces(path)
        self._ids: dict[str, int] = {}
        for index, piece in enumerate(self._pieces):
            text = piece.decode(errors="replace")
            if index >= FIRST_PIECE and "�" not in text:
                self._ids.setdefault(text, index)

    def encode(self, text: str) -> list[int] | None:
        """Ids with start and end, or None if a character has no piece."""
        parts = list(SPACE + text.replace(" ", SPACE))
        while True:
            pairs = itertools.pairwise(parts)
            ranked = ((self._ids.get(a + b), at) for at, (a, b) in enumerate(pairs))
            best = min(((rank, at) for rank, at in ranked if rank is not None), default=None)
            if best is None:
                break
            at = best[1]
            parts[at : at + 2] = [parts[at] + parts[at + 1]]
        ids = [self._ids.get(part) for part in parts]
        known = [each for each in ids if each is not None]
        return [START, *known, END] if len(known) == len(ids) else None

    def decode(self, ids: list[int]) -> str:
        """Text of the pieces; control tokens are left out, single bytes are joined."""
        out = b"".join(self._bytes(each) for each in ids if each > END)
        return out.decode(errors="ignore").replace(SPACE, " ").strip()

    def _bytes(self, index: int) -> bytes:
        piece = self._pieces[index]
        if piece.startswith(b"<0x") and piece.endswith(b">"):
            return bytes([int(piece[3:5], 16)])
        return b"" if piece.startswith(b"<") and piece.endswith(b">") else piece
