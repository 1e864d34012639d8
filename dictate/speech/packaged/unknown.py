"""Words outside the vocabulary, spelt by the network as it likes."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np
import numpy.typing as npt

from dictate.speech.packaged.network import Floats

_TRIED = 2
"""Likeliest pieces tried at each step; the vocabulary gets all the rest of the beam."""


class UnknownWords:
    """Which pieces may begin a word and which may go on with it."""

    def __init__(self, pieces: Sequence[str]) -> None:
        self.pieces = tuple(pieces)
        letters = [piece.strip().replace("'", "").isalpha() for piece in pieces]
        self._first = _numbers(
            piece.startswith(" ") and ok for piece, ok in zip(pieces, letters, strict=True)
        )
        self._more = _numbers(
            ok and " " not in piece for piece, ok in zip(pieces, letters, strict=True)
        )

    def first(self, logs: Floats) -> list[int]:
        """The likeliest tokens that begin a word."""
        return _likeliest(self._first, logs)

    def more(self, logs: Floats) -> list[int]:
        """The likeliest tokens that go on with a word."""
        return _likeliest(self._more, logs)

    @staticmethod
    def word(spelt: str) -> str:
        """The word of these pieces."""
        return spelt.strip().lower()


def _numbers(chosen: Iterable[bool]) -> npt.NDArray[np.int64]:
    return np.flatnonzero(np.fromiter(chosen, bool))


def _likeliest(among: npt.NDArray[np.int64], logs: Floats) -> list[int]:
    keep = min(_TRIED, len(among))
    if not keep:
        return []
    found: list[int] = among[np.argpartition(-logs[among], keep - 1)[:keep]].tolist()
    return found
