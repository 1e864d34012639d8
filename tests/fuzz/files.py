"""Harnesses of files that a person brings: a vocabulary, lines of text, a recording."""

from __future__ import annotations

import atexit
import shutil
import tempfile
import tomllib
from functools import cache
from pathlib import Path

import numpy as np

from dictate.audio.source import FRAME
from dictate.audio.wav import open_recording
from dictate.pipeline.text import read_lines
from dictate.vocabulary.loader import load
from dictate.vocabulary.schema import Lexicon
from dictate.vocabulary.tables import TERM_TABLES
from tests.fuzz.oracle import Target, expect

MOST_FRAMES = 400
SMALL = "[[regions]]\nvalue = 'hand'\nzone = 'extraoral'\nsay = ['hand']\n"
ENTRY = (
    "[[kinds]]\nvalue = 'wen'\nsay = ['wen', 'a wen']\nplurals = ['wens']\n"
    "implies = { region = 'hand', side = 'left' }\n"
)


@cache
def folder() -> Path:
    """A scratch folder with a tiny vocabulary, gone at the end."""
    made = Path(tempfile.mkdtemp(prefix="fuzz"))
    atexit.register(shutil.rmtree, made, ignore_errors=True)
    (made / "small").mkdir()
    (made / "small" / "all.toml").write_text(SMALL, "utf-8")
    return made


def _file(name: str, data: bytes) -> Path:
    path = folder() / name
    path.write_bytes(data)
    return path


def read_vocabulary(data: bytes) -> Lexicon:
    """Every term of a file that is taken must be in the lexicon."""
    lexicon = load([_file("clinic.toml", data)], folder=folder() / "small")
    for table, entries in tomllib.loads(data.decode("utf-8")).items():
        if table in TERM_TABLES:
            known = {term.value for term in lexicon.terms[TERM_TABLES[table]]}
            expect({each["value"] for each in entries} <= known, f"an entry of {table} is gone")
    return lexicon


def read_text_lines(data: bytes) -> list[str]:
    """Whatever is no UTF-8 is refused, not replaced."""
    lines = read_lines(_file("lines.txt", data))
    data.decode("utf-8-sig")
    return lines


def read_recording(data: bytes) -> int:
    """Whole frames of the right type, as far as `MOST_FRAMES`."""
    recording = open_recording(_file("sound.wav", data))
    count = 0
    try:
        for frame in recording.frames():
            samples = frame.samples
            expect(samples.dtype == np.int16 and samples.shape == (FRAME,), "no frame")
            count += 1
            if count == MOST_FRAMES:
                break
    finally:
        recording.close()
    return count


def _wav(rate: int, bits: int, channels: int = 1) -> bytes:
    body = bytes(range(256)) * 8
    block = channels * bits // 8
    form = (1).to_bytes(2, "little") + channels.to_bytes(2, "little")
    form += rate.to_bytes(4, "little") + (rate * block).to_bytes(4, "little")
    form += block.to_bytes(2, "little") + bits.to_bytes(2, "little")
    parts = b"WAVEfmt " + len(form).to_bytes(4, "little") + form
    parts += b"data" + len(body).to_bytes(4, "little") + body
    return b"RIFF" + len(parts).to_bytes(4, "little") + parts


def _demo_head() -> bytes:
    demo = Path(__file__).parents[2] / "recordings_synthetic" / "demo_examination.flac"
    return demo.read_bytes()[:9000]


TARGETS = (
    Target("vocabulary", read_vocabulary, (SMALL.encode(), ENTRY.encode(), b"[american]\na = 'b'")),
    Target("lines", read_text_lines, (b"ulcer left\nnext\n", b"\xef\xbb\xbfulcer\r\n", b"\xff")),
    Target(
        "recording",
        read_recording,
        (_wav(16_000, 16), _wav(44_100, 24, 2), _wav(8000, 8), _demo_head()),
    ),
)
