"""The neural network itself, run by onnxruntime: samples to states, tokens to next tokens."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np
import numpy.typing as npt
import onnxruntime
import soxr

from dictate.audio.source import RATE, Samples
from dictate.errors import EngineError
from dictate.speech.packaged.front import Help
from dictate.speech.packaged.model_files import ModelFiles

Floats = npt.NDArray[np.float32]
Ids = npt.NDArray[np.int64]
THREADS = 2
SHORTEST = RATE // 4
"""Samples the encoder needs; shorter sound is padded with silence."""
PACED = RATE * 3 // 2
"""Samples from which the pace makes words better heard; a word or two are heard worse by it."""


@dataclass(slots=True)
class Cache:
    """What the decoder remembers: of the sound (shared by all rows) and of each row's tokens."""

    sound: dict[str, Floats]
    rows: dict[str, Floats]

    def pick(self, rows: list[int]) -> Cache:
        """The cache with these rows, in this order; rows may repeat."""
        count = len(next(iter(self.rows.values())))
        if rows == list(range(count)):
            return self
        return Cache(self.sound, {name: each[rows] for name, each in self.rows.items()})

    def cut(self, length: int) -> Cache:
        """The cache as it was after its first `length` tokens."""
        return Cache(self.sound, {name: each[:, :, :length] for name, each in self.rows.items()})


class Decoding(Protocol):
    """One utterance being decoded."""

    def begin(self, tokens: list[int]) -> tuple[Floats, Cache]:
        """Logits after each of `tokens` (shape: tokens, vocabulary) in a single row."""

    def step(self, tokens: list[int], cache: Cache) -> tuple[Floats, Cache]:
        """Logits (rows, vocabulary) after one more token in each row of the cache."""


class Network:
    """An encoder and a decoder session. Raises EngineError when a file does not load.

    Sound that needs no help against noise is given to it at `pace` times its speed, unless short.
    """

    def __init__(self, files: ModelFiles, threads: int = THREADS, pace: float = 1.0) -> None:
        self._pace = pace
        self._encoder = _session(files.encoder, threads)
        self._decoder = _session(files.decoder, threads)
        self._help = _help(files)
        self._letters = _session(files.letters, 1, arena=False) if files.letters else None
        self._encoder_inputs = {each.name for each in self._encoder.get_inputs()}
        self._decoder_inputs = {each.name for each in self._decoder.get_inputs()}
        self._outputs = [each.name for each in self._decoder.get_outputs()]
        self._past = {
            each.name: (each.shape[1], each.shape[3])
            for each in self._decoder.get_inputs()
            if each.name.startswith("past_key_values")
        }

    def listen(self, samples: Samples) -> SoundDecoding:
        """Encode int16 samples at 16 kHz."""
        sound = np.zeros((1, max(len(samples), SHORTEST)), np.float32)
        sound[0, : len(samples)] = samples / np.float32(32768.0)
        cleaned = self._help.cleaned(sound[0]) if self._help is not None else None
        if cleaned is not None:
            sound = cleaned[None]
        elif self._pace != 1.0 and len(samples) >= PACED:
            sound = soxr.resample(sound[0], RATE * self._pace, RATE)[None]
        feed: dict[str, npt.NDArray[np.generic]] = {"input_values": sound}
        if "attention_mask" in self._encoder_inputs:
            feed["attention_mask"] = np.ones(sound.shape, np.int64)
        states: Floats = self._encoder.run(None, feed)[0]
        if self._help is not None and cleaned is not None:
            states = self._help.mended(states)
        return SoundDecoding(self, states, sound.shape[1])

    def letters(self, states: Floats) -> Floats | None:
        """Log probability of each letter (states, classes); None without a second hearing."""
        if self._letters is None:
            return None
        logs: Floats = self._letters.run(None, {"states": states})[0][0]
        return logs

    def decode(
        self, tokens: Ids, states: Floats, length: int, cache: Cache | None
    ) -> tuple[Floats, Cache]:
        """Logits (rows, tokens, vocabulary), and the cache that includes these tokens."""
        past = {**cache.sound, **cache.rows} if cache else self._empty(len(tokens))
        feed: dict[str, npt.NDArray[np.generic]] = {
            "input_ids": tokens,
            "encoder_hidden_states": states,
            **past,
        }
        if "encoder_attention_mask" in self._decoder_inputs:
            feed["encoder_attention_mask"] = np.ones((1, length), np.int64)
        if "use_cache_branch" in self._decoder_inputs:
            feed["use_cache_branch"] = np.array([cache is not None])
        logits, *present = self._decoder.run(None, feed)
        new = {
            name.replace("present", "past_key_values"): value
            for name, value in zip(self._outputs[1:], present, strict=True)
        }
        rows = {name: value for name, value in new.items() if ".decoder." in name}
        sound = cache.sound if cache else {n: v for n, v in new.items() if ".encoder." in n}
        return logits, Cache(sound, rows)

    def _empty(self, rows: int) -> dict[str, Floats]:
        return {
            name: np.zeros((rows, heads, 0, size), np.float32)
            for name, (heads, size) in self._past.items()
        }


class SoundDecoding:
    """Decoding of one stretch of sound. The sound's keys serve all rows, uncopied."""

    def __init__(self, network: Network, states: Floats, length: int) -> None:
        self._network = network
        self.states = states
        self._length = length

    def begin(self, tokens: list[int]) -> tuple[Floats, Cache]:
        ids = np.array([tokens], np.int64)
        logits, cache = self._network.decode(ids, self.states, self._length, None)
        return logits[0], cache

    def step(self, tokens: list[int], cache: Cache) -> tuple[Floats, Cache]:
        ids = np.array([[token] for token in tokens], np.int64)
        # One copy of the sound is broadcast over the rows: a copy for each doubles the time.
        logits, cache = self._network.decode(ids, self.states, self._length, cache)
        return logits[:, -1, :], cache


def _help(files: ModelFiles) -> Help | None:
    if files.front is None or files.mend is None:
        return None
    return Help(*(_session(each, 1, arena=False) for each in (files.front, files.mend)))


def _session(path: object, threads: int, arena: bool = True) -> onnxruntime.InferenceSession:
    options = onnxruntime.SessionOptions()
    options.intra_op_num_threads = threads
    options.inter_op_num_threads = 1
    options.enable_cpu_mem_arena = arena
    options.log_severity_level = 4
    # Threads that spin while they wait take the processor from the screen and the microphone.
    options.add_session_config_entry("session.intra_op.allow_spinning", "0")
    try:
        return onnxruntime.InferenceSession(str(path), options, providers=["CPUExecutionProvider"])
    except Exception as error:  # onnxruntime raises classes of its own that it does not export
        cause = str(error).splitlines()[0]
        raise EngineError(f"{path}: does not load ({cause}); copy the model again") from error
