"""Unbiased greedy decoding of a packaged model directory, by onnxruntime alone."""

from __future__ import annotations

from dataclasses import dataclass
from math import gcd
from pathlib import Path

import numpy as np
import onnxruntime
import soundfile
from numpy.typing import NDArray
from scipy.signal import resample_poly

from adapt.tokens import END, START, Tokeniser

RATE = 16_000
TOKENS_PER_SECOND = 6.5
"""The model's own bound on how fast people speak; it stops endless repetition."""
Floats = NDArray[np.float32]


def read_clip(path: Path) -> Floats:
    """Mono samples at 16 kHz within -1 to 1."""
    samples, rate = soundfile.read(path, dtype="float32", always_2d=True)
    mono = samples.mean(axis=1)
    if rate != RATE:
        common = gcd(rate, RATE)
        mono = resample_poly(mono, RATE // common, rate // common)
    return np.asarray(mono, dtype=np.float32)


def _session(directory: Path, name: str, threads: int) -> onnxruntime.InferenceSession:
    options = onnxruntime.SessionOptions()
    options.intra_op_num_threads = threads
    options.log_severity_level = 3
    found = [directory / f"{name}.{kind}" for kind in ("ort", "onnx")]
    path = next(each for each in found if each.exists())
    return onnxruntime.InferenceSession(str(path), options, providers=["CPUExecutionProvider"])


@dataclass(frozen=True)
class Encoded:
    """A clip, encoded."""

    states: Floats
    """Shape (1, frames, 288)."""
    samples: int
    """Length of the clip; the decoder masks in samples, not in frames."""


class Listener:
    """The encoder, the decoder with its cache, and the tokeniser of one model directory."""

    def __init__(self, directory: Path, threads: int = 1) -> None:
        self._encoder = _session(directory, "encoder_model", threads)
        self._decoder = _session(directory, "decoder_model_merged", threads)
        self.tokeniser = Tokeniser(directory / "tokenizer.bin")
        cache = (each for each in self._decoder.get_inputs() if "past" in each.name)
        self._empty = {
            each.name: np.zeros((1, each.shape[1], 0, each.shape[3]), np.float32) for each in cache
        }

    def encode(self, samples: Floats) -> Encoded:
        """The encoder's states of a clip."""
        mask = np.ones((1, len(samples)), np.int64)
        feed = {"input_values": samples[None], "attention_mask": mask}
        names = {each.name for each in self._encoder.get_inputs()}
        feed = {name: value for name, value in feed.items() if name in names}
        return Encoded(np.asarray(self._encoder.run(None, feed)[0]), len(samples))

    def _step(
        self, heard: Encoded, tokens: list[int], past: dict[str, Floats] | None
    ) -> tuple[Floats, dict[str, Floats]]:
        feed = {
            "input_ids": np.array([tokens], np.int64),
            "encoder_hidden_states": heard.states,
            "encoder_attention_mask": np.ones((1, heard.samples), np.int64),
            "use_cache_branch": np.array([past is not None]),
            **(past or self._empty),
        }
        names = {each.name for each in self._decoder.get_inputs()}
        out = self._decoder.run(None, {key: feed[key] for key in feed if key in names})
        outputs = [each.name for each in self._decoder.get_outputs()]
        present = {
            name.replace("present", "past_key_values"): value
            for name, value in zip(outputs, out, strict=True)
            if name.startswith("present")
        }
        if past is not None:  # the cached branch does not give the encoder's part again
            present = {k: past[k] if ".encoder." in k else v for k, v in present.items()}
        return np.asarray(out[0]), present

    def logits(self, heard: Encoded, tokens: list[int]) -> Floats:
        """Logits after each of `tokens` at once, without the cache; shape (tokens, pieces)."""
        return np.asarray(self._step(heard, tokens, None)[0][0])

    def greedy(self, heard: Encoded) -> list[int]:
        """The best token at each step, from the start token to before the end token."""
        limit = int(heard.samples / RATE * TOKENS_PER_SECOND) + 2
        tokens, past = [START], None
        for _ in range(limit):
            logits, past = self._step(heard, tokens[-1:], past)
            best = int(logits[0, -1].argmax())
            if best == END:
                break
            tokens.append(best)
        return tokens

    def hear(self, samples: Floats) -> str:
        """The text of a clip, unbiased."""
        return self.tokeniser.decode(self.greedy(self.encode(samples)))
