"""The training clips in memory: shards are taken up while they are still being made."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from random import Random

import numpy as np
import torch
from torch import Tensor

from adapt.speech import read_shard

IGNORED = -100
END = 2
STEP = 4_000
"""Widths of batches are multiples of this: few different sizes keep the GPU's plans few."""


@dataclass(frozen=True)
class Clip:
    """A clip and what is said in it."""

    samples: np.ndarray
    """int16 at 16 kHz."""
    tokens: list[int]
    text: str
    kind: str
    """ "trade", "general" or "real" (see `adapt.real`)."""
    voice: str


@dataclass(frozen=True)
class Batch:
    """Padded clips with the decoder's input and the tokens wanted of it."""

    waves: Tensor
    lengths: Tensor
    given: Tensor
    wanted: Tensor
    general: Tensor
    """True for clips of general English, spoken by a synthesiser."""
    real: Tensor
    """True for clips of human speech, in any language."""


class Store:
    """All clips of a directory's shards; `refresh` adds the new ones."""

    def __init__(self, directory: Path) -> None:
        self._directory, self._read = directory, set[str]()
        self.trade: list[Clip] = []
        self.general: list[Clip] = []
        self.real: list[Clip] = []

    def refresh(self, at_most: int = 10_000) -> int:
        """Read shards not yet read, some at a time; returns how many clips there are."""
        new = [p for p in sorted(self._directory.glob("*.npz")) if p.name not in self._read]
        for path in new[:at_most]:
            self._read.add(path.name)
            for row, samples in read_shard(path):
                clip = Clip(samples, row["tokens"], row["text"], row["kind"], row["voice"]["name"])
                {"general": self.general, "real": self.real}.get(clip.kind, self.trade).append(clip)
        return len(self)

    def __len__(self) -> int:
        return len(self.trade) + len(self.general)

    def batches(self, rng: Random, size: int, general: float, real: float) -> Iterator[list[Clip]]:
        """A pool of random clips in batches of like length, the given shares general and real."""
        count = size * 24
        pool = rng.choices(self.general, k=round(count * general))
        if self.real:
            pool += rng.choices(self.real, k=round(count * real))
        pool += rng.choices(self.trade, k=count - len(pool))
        pool.sort(key=lambda clip: len(clip.samples))
        groups = [pool[at : at + size] for at in range(0, count, size)]
        rng.shuffle(groups)
        yield from groups


def batch(clips: list[Clip], rng: Random, device: str, margin: int = 8_000) -> Batch:
    """Pad clips, each with up to `margin` samples of silence before and after."""
    before = [rng.randint(0, margin) for _ in clips]
    lengths = [
        b + len(c.samples) + rng.randint(0, margin) for b, c in zip(before, clips, strict=True)
    ]
    lengths = [max(each, 8_000) for each in lengths]
    width = -(-max(lengths) // STEP) * STEP
    waves = np.zeros((len(clips), width), np.int16)
    longest = max(len(clip.tokens) for clip in clips) - 1
    given = np.full((len(clips), longest), END)
    wanted = np.full((len(clips), longest), IGNORED)
    for row, (clip, first) in enumerate(zip(clips, before, strict=True)):
        waves[row, first : first + len(clip.samples)] = clip.samples
        given[row, : len(clip.tokens) - 1] = clip.tokens[:-1]
        wanted[row, : len(clip.tokens) - 1] = clip.tokens[1:]
    return Batch(
        torch.from_numpy(waves).to(device, non_blocking=True).float() / 32_768,
        torch.tensor(lengths, device=device),
        torch.from_numpy(given).to(device),
        torch.from_numpy(wanted).to(device),
        torch.tensor([clip.kind == "general" for clip in clips], device=device),
        torch.tensor([clip.kind == "real" for clip in clips], device=device),
    )
