"""Records chained by hashes, so that an altered, missing or moved one is found.

A record is the text of one event with the hash of the record before it; its own hash is the
HMAC-SHA-256 (RFC 2104) of "<hash before> <text>" in UTF-8 under a key of the store: it says nothing
of the text to those without the key, and they cannot make one.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from pydantic import ValidationError

from dictate.errors import StoreError
from dictate.exam.events import Event
from dictate.store.sealing import Sealer

FIRST = "0" * 64
"""Stands for the record before the first."""


@dataclass(frozen=True, slots=True)
class Record:
    """One event as it is kept: the text is what counts, and is never written anew."""

    event: Event
    text: str
    """The event as JSON, in one line."""
    prev: str
    hash: str


def digest(sealer: Sealer, prev: str, text: str) -> str:
    """The hash of a record, in hexadecimal."""
    return sealer.mark(f"{prev} {text}")


def linked(sealer: Sealer, events: Iterable[Event], prev: str = FIRST) -> tuple[Record, ...]:
    """Records for new events that follow the record of hash `prev`."""
    records = []
    for event in events:
        text = event.model_dump_json()
        records.append(Record(event, text, prev, digest(sealer, prev, text)))
        prev = records[-1].hash
    return tuple(records)


def linked_anew(sealer: Sealer, records: Iterable[Record]) -> tuple[Record, ...]:
    """The same texts, chained with the key of this store."""
    prev, anew = FIRST, []
    for each in records:
        anew.append(replace(each, prev=prev, hash=digest(sealer, prev, each.text)))
        prev = anew[-1].hash
    return tuple(anew)


def opened(sealer: Sealer, text: str, prev: str, hash_: str, *, where: str) -> Record:
    """The record of a text read back. Raises StoreError naming `where` if it was altered."""
    if digest(sealer, prev, text) != hash_:
        raise StoreError(f"{where} has been altered or damaged; restore it from a backup.")
    return understood(text, prev, hash_, where=where)


def understood(text: str, prev: str, hash_: str, *, where: str) -> Record:
    """The record of a text that is as it was written. Raises StoreError for an unknown event."""
    try:
        event = Event.model_validate_json(text)
    except ValidationError as error:
        raise StoreError(
            f"{where} holds an event that this version does not know; update dictate, "
            f"or restore a backup ({error.error_count()} faults)."
        ) from None
    return Record(event, text, prev, hash_)


def check(records: Iterable[Record], *, where: str) -> None:
    """Raises StoreError naming the first record that is missing, added or out of order."""
    prev = FIRST
    for count, record in enumerate(records, start=1):
        if record.event.seq != count or record.prev != prev:
            raise StoreError(
                f"{where}: event {count} is missing, added or out of order; "
                "restore it from a backup."
            )
        prev = record.hash
