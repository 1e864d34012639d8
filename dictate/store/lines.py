"""The lines of a journal: what is in them, and where a crash has cut them short."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Protocol

from dictate.errors import StoreError
from dictate.store import chain
from dictate.store.chain import Record
from dictate.store.primitives import BrokenSealError
from dictate.store.sealing import Sealer, damaged

_SHAPE = re.compile(rb"([0-9a-f]{64}) ([0-9a-f]{64}) ([A-Za-z0-9_=-]+)")
_PLAIN = re.compile(rb"[0-9a-f]{64} [0-9a-f]{64} \{")


@dataclass(frozen=True, slots=True)
class Reading:
    """What a journal holds."""

    records: tuple[Record, ...]
    good: int
    """Bytes up to the end of the last whole act."""
    torn: bytes = b""
    """What follows: an act cut short by a crash, never acknowledged."""


class Lines(Protocol):
    """How lines are written."""

    def record(self, line: bytes, *, where: str) -> Record | None:
        """The record of a line; None for one that is not whole. Raises StoreError."""


class SealedLines:
    """A whole line that does not open is never taken for a torn one: with a wrong key all of a
    draft would be cut off."""

    def __init__(self, sealer: Sealer, session_id: str) -> None:
        self._sealer = sealer
        self._session_id = session_id

    def record(self, line: bytes, *, where: str) -> Record | None:
        shape = _SHAPE.fullmatch(line)
        if shape is None:
            if is_plain(line):
                raise StoreError(
                    f"{where} is not sealed, so this program did not write it; the file is kept "
                    "as it is: restore the draft from a backup."
                )
            return None
        hash_, prev, sealed = (each.decode() for each in shape.groups())
        try:
            text = self._sealer.open(sealed, self._place(prev))
        except BrokenSealError:
            raise damaged(where) from None
        return chain.opened(self._sealer, text, prev, hash_, where=where)

    def line(self, record: Record) -> bytes:
        """The line of a record, its end included."""
        sealed = self._sealer.seal(record.text, self._place(record.prev))
        return f"{record.hash} {record.prev} {sealed}\n".encode()

    def _place(self, prev: str) -> str:
        return f"draft {self._session_id} {prev}"


def is_sealed(data: bytes) -> bool:
    """True if a line of the journal is a sealed one."""
    return any(_SHAPE.fullmatch(line) for line in data.split(b"\n"))


def is_plain(data: bytes) -> bool:
    """True if the journal is one from before sealing."""
    return _PLAIN.match(data) is not None


def reading_of(data: bytes, name: str, form: Lines) -> Reading:
    """All whole acts in the journal of the draft `name`.

    Raises StoreError naming the line when one is damaged, missing, doubled or out of order.
    """
    records: list[Record] = []
    good, whole, at, prev = 0, 0, 0, chain.FIRST
    for number, line in enumerate(data.split(b"\n")[:-1], start=1):
        where = f"Line {number} of the draft {name}"
        record = form.record(line, where=where)
        if record is None:
            if _any_whole(data[at + len(line) + 1 :], form):
                raise _broken(where)
            break
        if record.prev != prev:
            raise _broken(where)
        records.append(record)
        at, prev = at + len(line) + 1, record.hash
        if not record.event.more:
            good, whole = at, len(records)
    chain.check(records, where=f"The draft {name}")
    return Reading(tuple(records[:whole]), good, data[good:])


def _any_whole(data: bytes, form: Lines) -> bool:
    """True if a line follows that was whole once; an altered one was, too."""
    *lines, rest = data.split(b"\n")
    return any(_was_whole(line, form, altered=True) for line in lines) or _was_whole(
        rest, form, altered=False
    )


def _was_whole(line: bytes, form: Lines, *, altered: bool) -> bool:
    try:
        return form.record(line, where="") is not None
    except StoreError:
        return altered


def _broken(where: str) -> StoreError:
    return StoreError(f"{where} is damaged; the file is kept as it is: restore it from a backup.")
