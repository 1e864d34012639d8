"""The model's tokenizer: numbers to pieces of text."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from dictate.errors import EngineError

START = 1
END = 2
_FIRST_PIECE = 259
"""Below it lie controls and single bytes, which English never needs."""
_SPACE = "\u2581"


@dataclass(frozen=True, slots=True)
class Tokenizer:
    """Pieces by token number; a piece that starts a word has a leading space."""

    pieces: tuple[str, ...]
    """Empty for controls, bytes and broken pieces."""

    def text(self, tokens: Iterable[int]) -> str:
        """The text of tokens, as the model writes it (capitals, punctuation)."""
        return "".join(self.pieces[token] for token in tokens).strip()


def read_tokenizer(path: Path) -> Tokenizer:
    """Read length-prefixed pieces (two bytes of length from 128 on). Raises EngineError."""
    try:
        data = path.read_bytes()
    except OSError as error:
        raise EngineError(f"{path}: cannot be read ({error}); copy the model again") from error
    pieces: list[str] = []
    at = 0
    while at < len(data):
        length = data[at]
        at += 1
        if length >= 128 and at < len(data):
            length += (data[at] - 1) * 128
            at += 1
        if at + length > len(data):
            raise EngineError(f"{path}: is cut short; copy the model again")
        pieces.append(_piece(data[at : at + length], len(pieces)))
        at += length
    if len(pieces) <= _FIRST_PIECE:
        raise EngineError(f"{path}: holds no pieces of text; copy the model again")
    return Tokenizer(tuple(pieces))


def _piece(raw: bytes, number: int) -> str:
    if number < _FIRST_PIECE or raw.startswith(b"<<"):
        return ""
    return raw.decode("utf-8", errors="ignore").replace(_SPACE, " ")
