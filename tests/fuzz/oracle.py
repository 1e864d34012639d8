"""What a harness may not see: an unexpected exception, a second of work, or a false acceptance."""

from __future__ import annotations

import time
import unicodedata
from collections.abc import Callable
from dataclasses import dataclass

from dictate.errors import DictateError

LIMIT_S = 1.0
"""Of processor time, so that a busy machine is not taken for a hang."""


class FoundError(AssertionError):
    """A fault that the input brought about."""


@dataclass(frozen=True, slots=True)
class Target:
    """One reader of outside input."""

    name: str
    read: Callable[[bytes], object]
    """Raises DictateError for what it refuses, FoundError for what it should have refused."""
    seeds: tuple[bytes, ...] = ()
    limit_s: float = LIMIT_S

    def check(self, data: bytes) -> bool:
        """True if the input was taken, False if refused as it should be. Raises FoundError."""
        began = time.process_time()
        try:
            self.read(data)
            taken = True
        except DictateError as error:
            _one_line(str(error))
            taken = False
        took_s = time.process_time() - began
        if took_s > self.limit_s:
            raise FoundError(f"{self.name}: took {took_s:.1f} s")
        return taken


def expect(holds: bool, what: str) -> None:
    """Raises FoundError."""
    if not holds:
        raise FoundError(what)


def _one_line(text: str) -> None:
    acting = [each for each in text if unicodedata.category(each) in ("Cc", "Cf", "Cs", "Zl", "Zp")]
    expect(bool(text) and not acting, f"the message is no plain line: {text!r}")


def edited(whole: bytes, edits: bytes) -> bytes:
    """`whole` with bytes replaced, left out or put in, as `edits` says, four bytes an edit.

    Blind changes seldom get past a checksum's shape; changes to a whole file get deep.
    """
    data = bytearray(whole)
    for at in range(0, len(edits) - 3, 4):
        how, high, low, value = edits[at : at + 4]
        place = (high << 8 | low) % (len(data) + 1)
        if how % 4 == 0:
            data[place : place + 1] = bytes([value])
        elif how % 4 == 1:
            del data[place : place + 1 + value]
        elif how % 4 == 2:
            data[place:place] = data[max(0, place - value) : place]
        else:
            data[place:place] = bytes([value])
    return bytes(data)
