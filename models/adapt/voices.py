"""The synthesisers that speak the training text, and which voice speaks which sentence."""

from __future__ import annotations

import subprocess
from dataclasses import dataclass
from functools import cache
from math import gcd
from pathlib import Path
from random import Random

import numpy as np
import onnxruntime
from numpy.typing import NDArray
from scipy.signal import resample_poly

RATE = 16_000
ESPEAK_VARIANTS = [
    "m1",
    "m2",
    "m3",
    "m4",
    "m5",
    "m6",
    "m7",
    "m8",
    "f1",
    "f2",
    "f4",
    "f5",
    "klatt",
    "klatt2",
    "klatt4",
    "Alex",
    "Alicia",
    "Andrea",
    "Andy",
    "Annie",
    "Denis",
    "Diogo",
    "Gene",
    "Hugo",
    "Jacky",
    "Lee",
    "Marco",
    "Michael",
    "Mike",
    "Mario",
    "adam",
    "anika",
    "antonio",
    "aunty",
    "belinda",
    "benjamin",
    "boris",
    "caleb",
    "david",
    "ed",
    "edward",
    "gustave",
    "iven",
    "john",
    "kaukovalta",
    "linda",
    "marcelo",
    "max",
    "miguel",
    "norbert",
    "pablo",
    "paul",
    "pedro",
    "quincy",
    "rob",
    "robert",
    "sandro",
    "shelby",
    "steph",
    "steph2",
    "travis",
    "victor",
    "zac",
    "whisper",
]
ESPEAK_ACCENTS = (
    ("en-us", 46), ("en-gb", 20), ("en-gb-x-rp", 16), ("en-gb-scotland", 6), ("en-us-nyc", 4),
    ("en-gb-x-gbclan", 3), ("en-gb-x-gbcwmd", 2), ("en-029", 3),
)  # fmt: skip
HELD_OUT = ("en-us+f3", "en-gb-x-rp+grandma", "en-gb+steph3", "en-us+announcer")
"""espeak voices that judge settings and are never trained on."""
SHARES = {"joe": 0.31, "rms": 0.17, "awb": 0.17, "espeak": 0.35}
Floats = NDArray[np.float32]


@dataclass(frozen=True)
class Voice:
    """A synthesiser's voice with the settings for one sentence."""

    engine: str
    """ "joe", "flite" or "espeak"."""
    name: str
    pace: float
    """Length against the usual; above 1 is slower."""
    pitch: int = 50
    liveliness: float = 0.667
    """How much a neural voice varies."""


def choose(rng: Random) -> Voice:
    """A voice for a sentence, in the given shares."""
    kind = rng.choices(list(SHARES), list(SHARES.values()))[0]
    if kind == "joe":
        return Voice("joe", "joe", rng.uniform(0.8, 1.35), liveliness=rng.uniform(0.3, 0.95))
    if kind in ("rms", "awb"):
        return Voice("flite", kind, rng.uniform(0.85, 1.3))
    accents, weights = zip(*ESPEAK_ACCENTS, strict=True)
    name = f"{rng.choices(accents, weights)[0]}+{rng.choice(ESPEAK_VARIANTS)}"
    return Voice("espeak", name, rng.uniform(0.85, 1.35), pitch=rng.randint(25, 75))


def held_out(rng: Random) -> Voice:
    """A voice to judge by: half of the time one never trained on."""
    if rng.random() < 0.5:
        return Voice("espeak", rng.choice(HELD_OUT), 1.0)
    kind = rng.choice(("joe", "rms", "awb"))
    return Voice("joe" if kind == "joe" else "flite", kind, rng.uniform(0.95, 1.2))


def speak(voice: Voice, text: str, ids: list[int] | None, joe: Path) -> Floats:
    """Samples at 16 kHz; `ids` are the phonemes for the neural voice, made beforehand."""
    if voice.engine == "joe":
        samples, rate = _joe(voice, ids or [], joe)
    elif voice.engine == "flite":
        stretch = f"duration_stretch={voice.pace:.2f}"
        command = [
            "flite",
            "-voice",
            voice.name,
            "--setf",
            stretch,
            "-t",
            text,
            "-o",
            "/dev/stdout",
        ]
        samples, rate = _command(command)
    else:
        speed = str(round(165 / voice.pace))
        command = ["espeak-ng", "-v", voice.name, "-s", speed, "-p", str(voice.pitch)]
        samples, rate = _command([*command, "--stdout", text])
    common = gcd(rate, RATE)
    return np.asarray(resample_poly(samples, RATE // common, rate // common), np.float32)


def _command(command: list[str]) -> tuple[Floats, int]:
    """Run a synthesiser that writes a WAV file to its output."""
    data = subprocess.run(command, check=True, capture_output=True, timeout=60).stdout
    rate = int(np.frombuffer(data[24:28], np.int32)[0])
    body = data.index(b"data") + 8
    return np.frombuffer(data[body : body + (len(data) - body) // 2 * 2], np.int16) / 32768, rate


@cache
def _joe_session(path: Path) -> onnxruntime.InferenceSession:
    options = onnxruntime.SessionOptions()
    options.intra_op_num_threads = 1
    options.log_severity_level = 3
    return onnxruntime.InferenceSession(str(path), options, providers=["CPUExecutionProvider"])


def _joe(voice: Voice, ids: list[int], path: Path) -> tuple[Floats, int]:
    scales = np.array([voice.liveliness, voice.pace, 0.8], np.float32)
    feed = {"input": np.array([ids]), "input_lengths": np.array([len(ids)]), "scales": scales}
    return _joe_session(path).run(None, feed)[0].reshape(-1), 22_050
