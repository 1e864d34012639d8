"""Spoken samples for tests, made on the spot by the system's speech synthesisers."""

from __future__ import annotations

import subprocess
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np

from dictate.audio.source import FRAME, RATE, Frame, Samples
from dictate.audio.wav import open_recording


@cache
def speak(text: str, voice: str = "en-us", speed: int = 150) -> Samples:
    """`text` by espeak-ng, or by flite for a voice named "flite-...", at 16 kHz."""
    with TemporaryDirectory() as folder:
        path = Path(folder) / "spoken.wav"
        if voice.startswith("flite-"):
            command = ["flite", "-voice", voice.removeprefix("flite-"), "-t", text, "-o", path]
        else:
            command = ["espeak-ng", "-v", voice, "-s", str(speed), "-w", path, text]
        subprocess.run(command, check=True)
        return read(path)


def read(path: Path) -> Samples:
    return np.concatenate([frame.samples for frame in open_recording(path).frames()])


def silence(seconds: float) -> Samples:
    return np.zeros(int(seconds * RATE), np.int16)


def hiss(seconds: float, amplitude: float, seed: int = 0) -> Samples:
    """White noise of that root mean square (1 is full scale)."""
    noise = np.random.default_rng(seed).standard_normal(int(seconds * RATE))
    return np.clip(noise * amplitude * 32768, -32768, 32767).astype(np.int16)


def mixed(*parts: Samples) -> Samples:
    length = max(len(part) for part in parts)
    total = np.zeros(length)
    for part in parts:
        total[: len(part)] += part
    return np.clip(total, -32768, 32767).astype(np.int16)


def framed(samples: Samples) -> list[Frame]:
    """Whole frames of the samples; a rest shorter than a frame is dropped."""
    return [
        Frame(samples[at : at + FRAME], at / RATE)
        for at in range(0, len(samples) - FRAME + 1, FRAME)
    ]
