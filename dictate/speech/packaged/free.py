"""The model's own reading, without vocabulary or n-gram."""

from __future__ import annotations

import numpy as np

from dictate.speech.packaged.network import Decoding, Floats
from dictate.speech.packaged.tokens import END, START

_REPEATS = 4


class FreeReading:
    """Takes the likeliest token at each step, until the end or a loop."""

    def __init__(self) -> None:
        self.tokens: list[int] = []
        self.acoustic = 0.0
        """Log probability of the tokens, the end included."""
        self.running = True
        self.whole = False
        """True once it ended by itself, not in a loop."""

    def take(self, logs: Floats) -> None:
        """Go on by one token; `logs` has the log probability of each."""
        token = int(logs.argmax())
        self.acoustic += float(logs[token])
        if token == END:
            self.running = False
            self.whole = True
            return
        self.tokens.append(token)
        if _stuck(self.tokens):
            self.running = False


def read_freely(sound: Decoding, longest: int) -> FreeReading:
    """The free reading alone, of at most `longest` tokens."""
    reading = FreeReading()
    logits, cache = sound.begin([START])
    for _ in range(longest):
        reading.take(log_softmax(logits)[-1])
        if not reading.running:
            break
        logits, cache = sound.step([reading.tokens[-1]], cache)
    return reading


def log_softmax(logits: Floats) -> Floats:
    """Log probabilities over the last axis."""
    shifted: Floats = logits - logits.max(axis=-1, keepdims=True)
    shifted -= np.log(np.exp(shifted).sum(axis=-1, keepdims=True))
    return shifted


def _stuck(tokens: list[int]) -> bool:
    """True if the last tokens repeat one pattern four times: a loop of the network."""
    return any(
        tokens[-_REPEATS * size :] == tokens[-size:] * _REPEATS
        for size in (1, 2, 3, 4)
        if len(tokens) >= _REPEATS * size
    )
