"""Harnesses of the store's own files, changed: a journal, a backup, a key file.

An even first byte: the rest are edits of a whole file; an odd one: the rest is the file. Taken may
be only what was written.
"""

from __future__ import annotations

import io
import tarfile
from datetime import UTC, datetime
from functools import cache
from pathlib import Path
from typing import BinaryIO

from dictate.store.backup_file import Head, add, head_of, new_backup, unpack
from dictate.store.key_file import KeyFile, Wrapping
from dictate.store.lines import SealedLines, reading_of
from dictate.store.primitives import Cost
from tests.exam_samples import Chair
from tests.fuzz.files import folder
from tests.fuzz.oracle import Target, edited, expect
from tests.seal_samples import SEALER, seal

EDIT = (b"\0", b"\0\0\0\x40\x41", b"\0\1\0\xf0\xff", b"\0\2\4\0\x80", b"\0\3\1\1\x0a")
PASSPHRASE = b"seven quay lanterns"


def changed(whole: bytes, data: bytes) -> bytes:
    return data[1:] if data[:1] and data[0] & 1 else edited(whole, data[1:])


@cache
def journal() -> tuple[bytes, tuple[object, ...], tuple[int, ...]]:
    """The bytes of a draft, its events, and how many each whole act ends with."""
    chair = Chair()
    for _ in range(3):
        chair.plaque()
    records = seal(chair.session.events)
    form = SealedLines(SEALER, "s1")
    ends = tuple(n for n, each in enumerate(records, 1) if not each.event.more)
    return b"".join(map(form.line, records)), tuple(each.event for each in records), (0, *ends)


def read_journal(data: bytes) -> int:
    whole, events, ends = journal()
    reading = reading_of(changed(whole, data), "s1", SealedLines(SEALER, "s1"))
    found = tuple(each.event for each in reading.records)
    expect(found == events[: len(found)], "events that were never written")
    expect(len(found) in ends, "half an act was taken")
    return len(found)


@cache
def key_file() -> bytes:
    wrapped = Wrapping.of(SEALER, PASSPHRASE, Cost(n=1 << 4))
    return KeyFile.of_wrapped(SEALER, wrapped).data


def read_key(data: bytes) -> KeyFile:
    given = changed(key_file(), data)
    file = KeyFile.read(given)
    if data[:1] and not data[0] & 1:
        expect(given == key_file(), "a changed key file was taken")
    return file


@cache
def backup() -> bytes:
    path = folder() / "whole.backup"
    head = Head.of(datetime(2031, 3, 4, tzinfo=UTC), SEALER, None)
    with new_backup(path, head, SEALER) as archive:
        for name, content in CONTENT.items():
            add(archive, name, io.BytesIO(content), len(content))
    return path.read_bytes()


CONTENT = {"records.db": bytes(range(256)) * 20, "drafts/s1.jsonl": b"a line\n" * 40}


def read_backup(data: bytes) -> dict[str, bytes]:
    path = folder() / "changed.backup"
    path.write_bytes(changed(backup(), data))
    head_of(path)
    unpacked: dict[str, bytes] = {}

    def put(name: str, content: BinaryIO) -> None:
        unpacked[name] = content.read()

    unpack(path, SEALER, put)
    expect(unpacked == CONTENT, "a backup that was never made was taken")
    return unpacked


def read_archive(data: bytes) -> object:
    """A backup whose seal is right, around any archive at all: made by who holds the key."""
    from dictate.store.sealed_stream import SealingWriter

    head = Head.of(datetime(2031, 3, 4, tzinfo=UTC), SEALER, None)
    path = Path(folder() / "made_up.backup")
    with path.open("wb") as file:
        file.write(head.data)
        writer = SealingWriter(file, head.file_key(SEALER), head.data)
        writer.write(changed(_tar(), data))
        writer.finish()
    unpack(path, SEALER, lambda _name, content: content.read())
    return head


@cache
def _tar() -> bytes:
    return archived(CONTENT)


def archived(content: dict[str, bytes]) -> bytes:
    """An archive as a backup holds one."""
    made = io.BytesIO()
    with tarfile.open(fileobj=made, mode="w") as archive:
        for name, data in content.items():
            add(archive, name, io.BytesIO(data), len(data))
    return made.getvalue()


TARGETS = (
    Target("journal", read_journal, EDIT),
    Target("key", read_key, EDIT),
    Target("backup", read_backup, EDIT),
    Target("archive", read_archive, EDIT),
)
