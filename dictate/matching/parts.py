"""The parts of an utterance between its pauses."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from dictate.matching.text import Token


class Part(NamedTuple):
    """A run of tokens: where it starts, and the index after it."""

    start: int
    end: int


def parts_of(tokens: Sequence[Token]) -> Iterator[Part]:
    """The runs of tokens between pauses."""
    start = 0
    for at in range(1, len(tokens) + 1):
        if at == len(tokens) or tokens[at].pause:
            yield Part(start, at)
            start = at
