"""A recording on disk as a source: any usual format, streamed, converted on the way."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import numpy.typing as npt
import soundfile
import soxr

from dictate.audio.paced import Paced
from dictate.audio.source import FRAME, RATE, AudioSource, Frame, Samples
from dictate.errors import AudioError

LOWEST_RATE = 8_000
"""Telephone speech; below it consonants that tell words apart are gone."""
_BLOCK_S = 0.5
_MISSING_S = 0.5
"""What a damaged file gives less than it tells to hold is loss from here on; encoders pad less."""
_REMEDY = "give a WAV, FLAC or OGG recording of speech"

Mono = npt.NDArray[np.float32]


def open_recording(path: str | Path, realtime: bool = False) -> AudioSource:
    """A recording as 16 kHz mono frames, read in bounded memory.

    Any sample rate from 8 kHz, any number of channels (mixed), 8 to 32 bit or float.
    With `realtime` frames come at the speed they were spoken.
    Raises AudioError when the file is missing, empty, or no audio.
    """
    recording = Recording(Path(path))
    return Paced(recording) if realtime else recording


class Recording:
    """An open sound file; `frames` reads it once, from its start to its end."""

    def __init__(self, path: Path) -> None:
        self.name = path.name
        self._file = _open(path)
        self._busy = threading.Lock()
        self.duration_s = self._file.frames / self._file.samplerate

    def frames(self) -> Iterator[Frame]:
        """Frames of 512 samples; the last is padded with zeros.

        What damage has made unreadable is told as lost before one more, silent frame.
        """
        waiting = np.zeros(0, np.int16)
        index = 0
        for block in self._converted():
            waiting = np.concatenate([waiting, block])
            whole = len(waiting) // FRAME * FRAME
            for at in range(0, whole, FRAME):
                yield Frame(waiting[at : at + FRAME], index * FRAME / RATE)
                index += 1
            waiting = waiting[whole:]
        if len(waiting):
            padding = np.zeros(FRAME - len(waiting), np.int16)
            yield Frame(np.concatenate([waiting, padding]), index * FRAME / RATE)
            index += 1
        missing = round(self.duration_s * RATE) - index * FRAME
        if missing > _MISSING_S * RATE and not self._file.closed:
            at_s = index * FRAME / RATE + missing / RATE
            yield Frame(np.zeros(FRAME, np.int16), at_s, lost=missing)

    def close(self) -> None:
        """Stop; safe to call twice, and from another thread."""
        with self._busy:  # the decoder library dies when closed amid a read
            self._file.close()

    def _converted(self) -> Iterator[Samples]:
        resampler = soxr.ResampleStream(self._file.samplerate, RATE, 1, dtype="float32")
        for mono in self._blocks():
            yield _to_int16(resampler.resample_chunk(mono))
        yield _to_int16(resampler.resample_chunk(np.zeros(0, np.float32), last=True))

    def _blocks(self) -> Iterator[Mono]:
        size = int(self._file.samplerate * _BLOCK_S)
        while len(block := self._read(size)):
            yield block.mean(axis=1)

    def _read(self, size: int) -> npt.NDArray[np.float32]:
        with self._busy:
            if self._file.closed:
                return np.zeros((0, 1), np.float32)
            try:
                block: npt.NDArray[np.float32] = self._file.read(
                    size, dtype="float32", always_2d=True
                )
            except (soundfile.SoundFileError, RuntimeError) as error:
                raise AudioError(
                    f"{self.name}: reading stopped ({error}); the file is damaged, record again"
                ) from error
        return block


def _open(path: Path) -> soundfile.SoundFile:
    if not path.exists():
        raise AudioError(f"{path}: no such file; check the name")
    if path.is_dir():
        raise AudioError(f"{path}: is a folder; {_REMEDY}")
    if path.stat().st_size == 0:
        raise AudioError(f"{path}: is empty; {_REMEDY}")
    try:
        file = soundfile.SoundFile(str(path))
    except PermissionError as error:
        raise AudioError(f"{path}: may not be read; change its permissions") from error
    except (soundfile.SoundFileError, OSError, TypeError, ValueError) as error:
        raise AudioError(f"{path}: is not audio that can be read; {_REMEDY}") from error
    fault = _fault(file)
    if fault:
        file.close()
        raise AudioError(f"{path}: {fault}")
    return file


def _fault(file: soundfile.SoundFile) -> str | None:
    if file.frames == 0:
        return f"holds no sound; {_REMEDY}"
    if file.samplerate < LOWEST_RATE:
        return (
            f"was recorded at {file.samplerate} Hz, too low for speech; "
            f"record at {LOWEST_RATE} Hz or more ({RATE} Hz is best)"
        )
    return None


def _to_int16(samples: Mono) -> Samples:
    scaled = np.rint(np.nan_to_num(samples) * 32768.0)
    samples_16: Samples = np.clip(scaled, -32768, 32767).astype(np.int16)
    return samples_16
