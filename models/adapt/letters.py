"""The second hearing: which letter is being said in each of the encoder's states.

A small network over the states, trained by connectionist temporal classification (Graves and
others, 2006). It knows no words, so it is not led by what dictations usually say.
"""

from __future__ import annotations

import re
from collections.abc import Mapping

import numpy as np
import torch
from numpy.typing import NDArray
from torch import Tensor, nn
from torch.nn import functional

SIZE = 288
"""Width of the encoder's states."""
LETTERS = " abcdefghijklmnopqrstuvwxyz"
"""Classes 1 to 27; class 0 is none."""
CLASSES = len(LETTERS) + 1
WIDTH, BLOCKS = 88, 3
"""Of the network that is shipped."""


def classes(text: str, spelling: Mapping[str, str]) -> list[int]:
    """Classes of a text's letters, its words in another spelling where there is one.

    Words are parted by one space, apostrophes are dropped.
    """
    words = re.sub("[^a-z ]", " ", text.lower().replace("'", "")).split()
    plain = " ".join(spelling.get(word, word) for word in words)
    return [LETTERS.index(letter) + 1 for letter in plain]


class Block(nn.Module):
    """Looks at the neighbours in time, then mixes channels; adds to what comes in."""

    def __init__(self, width: int, reach: int) -> None:
        super().__init__()
        self.norm = nn.LayerNorm(width)
        self.look = nn.Conv1d(width, width, reach, padding=reach // 2, groups=width)
        self.a = nn.Linear(width, 2 * width)
        self.b = nn.Linear(2 * width, width)

    def forward(self, x: Tensor) -> Tensor:
        y = self.look(self.norm(x).transpose(1, 2)).transpose(1, 2)
        return x + self.b(functional.gelu(self.a(y), approximate="tanh"))


class Letters(nn.Module):
    """States (clips, states, `SIZE`) to log probabilities (clips, states, `CLASSES`)."""

    def __init__(self, width: int, blocks: int, reach: int = 9) -> None:
        super().__init__()
        self.into = nn.Linear(SIZE, width)
        self.blocks = nn.ModuleList(Block(width, reach) for _ in range(blocks))
        self.norm = nn.LayerNorm(width)
        self.out = nn.Linear(width, CLASSES)

    def forward(self, states: Tensor) -> Tensor:
        x = self.into(states)
        for block in self.blocks:
            x = block(x)
        logs: Tensor = functional.log_softmax(self.out(self.norm(x)), dim=-1)
        return logs


def of_weights(weights: Mapping[str, NDArray[np.float32]], width: int, blocks: int) -> Letters:
    """The network with weights that `adapt.train_letters` found."""
    letters = Letters(width, blocks).eval()
    letters.load_state_dict({name: torch.from_numpy(each) for name, each in weights.items()})
    return letters
