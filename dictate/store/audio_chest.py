"""What was said, kept only where that was switched on: sealed pieces of FLAC beside the records."""

from __future__ import annotations

import os
import threading
from collections.abc import Callable, Iterator
from io import BytesIO
from pathlib import Path

import numpy as np
import soundfile

from dictate.audio.source import RATE, Samples
from dictate.errors import StoreError
from dictate.store.audio_files import UNFINISHED, path_of, pieces
from dictate.store.failures import told
from dictate.store.home import make_folder, sync_folder, write_private
from dictate.store.primitives import BrokenSealError
from dictate.store.sealing import Sealer, damaged

PIECE_S = 30


class AudioChest:
    """Takes sound as it comes, from any thread.

    `session` tells whose it is at this moment: a draft may be given to another patient, and what
    was said before that goes with the draft that was given up; None: not to be kept. Never raises
    for a failing disk: the examination matters more; `problem` tells it.
    """

    def __init__(self, home: Path, sealer: Sealer, session: Callable[[], str | None]) -> None:
        self.problem: str | None = None
        self._home = home
        self._sealer = sealer
        self._session = session
        self._busy = threading.Lock()
        self._of: str | None = None
        self._waiting: list[Samples] = []
        self._count = 0

    def add(self, samples: Samples) -> None:
        """Keep 16 kHz mono; on the disk at the latest after `PIECE_S` seconds."""
        with self._busy:
            session = self._session()
            if session is None:
                self._put()
                return
            if session != self._of:
                self._of, self._waiting, self._count = session, [], 0
            self._waiting.append(samples)
            self._count += len(samples)
            if self._count >= PIECE_S * RATE:
                self._put()

    def close(self) -> None:
        """Put what waits on the disk."""
        with self._busy:
            self._put()

    def _put(self) -> None:
        if self._of is None or not self._waiting:
            return
        samples = np.concatenate(self._waiting)
        self._waiting, self._count = [], 0
        try:
            _write(self._home, self._sealer, self._of, samples)
        except StoreError as error:
            self.problem = f"sound was not kept: {error}"


def recording(home: Path, sealer: Sealer, session_id: str) -> bytes:
    """All that is kept of a session, as one FLAC file. Raises StoreError for none, or damaged."""
    parts = list(_opened(home, sealer, session_id))
    if not parts:
        raise StoreError(f"No sound is kept of {session_id}; `dictate exam --keep-audio` keeps it.")
    return _flac(np.concatenate(parts))


def _write(home: Path, sealer: Sealer, session_id: str, samples: Samples) -> None:
    number = len(pieces(home, session_id)) + 1
    path = path_of(home, session_id, number)
    with told("keep what is said"):
        make_folder(path.parent)
        part = path.with_suffix(UNFINISHED)
        write_private(part, sealer.seal_data(_flac(samples), _place(session_id, number)))
        os.replace(part, path)
        sync_folder(path.parent)


def _opened(home: Path, sealer: Sealer, session_id: str) -> Iterator[Samples]:
    for number, path in enumerate(pieces(home, session_id), start=1):
        with told("read kept sound"):
            data = path.read_bytes()
        try:
            flac = sealer.open_data(data, _place(session_id, number))
        except BrokenSealError:
            raise damaged(f"Piece {number} of the sound of {session_id}") from None
        samples, _ = soundfile.read(BytesIO(flac), dtype="int16")
        yield samples


def _place(session_id: str, number: int) -> str:
    return f"audio {session_id} {number}"


def _flac(samples: Samples) -> bytes:
    out = BytesIO()
    soundfile.write(out, samples, RATE, format="FLAC", subtype="PCM_16")
    return out.getvalue()
