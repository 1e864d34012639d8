"""Two small networks that help the speech model to hear in noise, without a change to it.

The front takes noise out of the sound before the model hears it. It sees the whole utterance: the
level of each frequency in each frame of the short-time spectrum, and how loud each frequency is in
its quietest frames. It gives a factor from 0 to 1 for each, and what the factors take away is
subtracted from the samples, so a factor of 1 everywhere leaves the sound as it was. The mend
corrects the encoder's states of what is left, before the decoder reads them.
`dictate.speech.packaged.front` does the same with NumPy, and leaves quiet sound alone.
"""

from __future__ import annotations

import torch
from torch import Tensor, nn
from torch.nn import functional

WINDOW, HOP = 512, 256
BINS = WINDOW // 2 + 1
FLOOR = 0.1
"""Share of the frames that are taken for the quietest."""
QUIETEST = 1e-9
"""Power below which a frequency counts as silent; samples are within -1 to 1."""
LIKELY_LEVEL, SPREAD = -4.0, 2.0
WIDTH, WIDER, TAPS = 96, 192, 5
DILATIONS = (1, 2, 4, 8, 16)
SIZE, MENDING, AROUND = 288, 144, 7
OPEN = 3.0
"""Where the factors begin: 0.95, all but open."""


def spectrum(waves: Tensor) -> Tensor:
    """Complex spectrum (clips, bins, frames) of waves (clips, samples)."""
    window = torch.hann_window(WINDOW, device=waves.device).sqrt()
    return torch.stft(waves, WINDOW, HOP, window=window, pad_mode="constant", return_complex=True)


def sound(spectra: Tensor, length: int) -> Tensor:
    """Samples of a spectrum."""
    window = torch.hann_window(WINDOW, device=spectra.device).sqrt()
    return torch.istft(spectra, WINDOW, HOP, window=window, length=length)


def levels(spectra: Tensor) -> Tensor:
    """Logarithm of the power, brought to about the size that networks like."""
    return (spectra.abs().square().clamp(min=QUIETEST).log10() - LIKELY_LEVEL) / SPREAD


def frames(lengths: Tensor) -> Tensor:
    """Frames of the spectrum of clips of these lengths."""
    return torch.div(lengths, HOP, rounding_mode="floor") + 1


def normed(level: Tensor, count: Tensor) -> tuple[Tensor, Tensor]:
    """Levels about the clip's mean, and each frequency's level in its quietest frames.

    `count` holds each clip's own frames; those after it are padding. Without padding this is
    what the exported network is given.
    """
    valid = (torch.arange(level.shape[2], device=level.device)[None] < count[:, None])[:, None]
    mean = (level * valid).sum((1, 2), keepdim=True) / (count * level.shape[1])[:, None, None]
    level = (level - mean) * valid
    ordered = level.masked_fill(~valid, torch.inf).sort(2).values
    place = (count * FLOOR).long()[:, None, None].expand(-1, level.shape[1], 1)
    return level, ordered.gather(2, place)


class Norm(nn.Module):
    """Each frame's channels to a common size."""

    def __init__(self, width: int) -> None:
        super().__init__()
        self.weight = nn.Parameter(torch.ones(1, width, 1))

    def forward(self, x: Tensor) -> Tensor:
        return x * (x.square().mean(1, keepdim=True) + 1e-4).rsqrt() * self.weight


class Block(nn.Module):
    """Neighbouring frames are looked at channel by channel, between two layers over channels."""

    def __init__(self, dilation: int) -> None:
        super().__init__()
        self.norm = Norm(WIDTH)
        self.widen = nn.Conv1d(WIDTH, WIDER, 1)
        reach = dilation * (TAPS // 2)
        self.look = nn.Conv1d(WIDER, WIDER, TAPS, dilation=dilation, padding=reach, groups=WIDER)
        self.narrow = nn.Conv1d(WIDER, WIDTH, 1)

    def forward(self, x: Tensor) -> Tensor:
        y = functional.silu(self.widen(self.norm(x)))
        return x + self.narrow(functional.silu(self.look(y)))


class Front(nn.Module):
    """Levels (clips, bins, frames) and floors (clips, bins, 1) to factors (clips, bins, frames)."""

    def __init__(self) -> None:
        super().__init__()
        self.of_levels = nn.Conv1d(BINS, WIDTH, 1)
        self.of_floors = nn.Conv1d(BINS, WIDTH, 1)
        self.blocks = nn.ModuleList(Block(dilation) for dilation in DILATIONS)
        self.norm = Norm(WIDTH)
        self.factors = nn.Conv1d(WIDTH, BINS, 1)
        nn.init.zeros_(self.factors.weight)
        nn.init.constant_(self.factors.bias, OPEN)

    def forward(self, level: Tensor, floor: Tensor) -> Tensor:
        x = self.of_levels(level) + self.of_floors(floor)
        for block in self.blocks:
            x = block(x)
        return torch.sigmoid(self.factors(self.norm(x)))


class Mend(nn.Module):
    """Encoder states (clips, states, size), corrected by what lies around them."""

    def __init__(self) -> None:
        super().__init__()
        self.norm = nn.LayerNorm(SIZE)
        self.a = nn.Linear(SIZE, MENDING)
        self.look = nn.Conv1d(MENDING, MENDING, AROUND, padding=AROUND // 2, groups=MENDING)
        self.b = nn.Linear(MENDING, SIZE)
        nn.init.zeros_(self.b.weight)
        nn.init.zeros_(self.b.bias)

    def forward(self, x: Tensor) -> Tensor:
        y = functional.silu(self.a(self.norm(x)))
        y = y + functional.silu(self.look(y.transpose(1, 2))).transpose(1, 2)
        return x + self.b(y)


class Help(nn.Module):
    """Both."""

    def __init__(self) -> None:
        super().__init__()
        self.front = Front()
        self.mend = Mend()


def cleaned(front: Front, waves: Tensor, lengths: Tensor) -> tuple[Tensor, Tensor, Tensor]:
    """Waves with the noise taken out, the factors, and the spectrum that they were applied to."""
    with torch.autocast(waves.device.type, enabled=False):
        inside = torch.arange(waves.shape[1], device=waves.device)[None] < lengths[:, None]
        spectra = spectrum(waves * inside)
        factors = front(*normed(levels(spectra), frames(lengths)))
        taken = sound(spectra * (1 - factors), waves.shape[1])
        return (waves - taken) * inside, factors, spectra
