"""Noises of a surgery for `adapt.train_front`, made by formula in batches on the GPU.

They are this package's own: broad ranges of what suction, handpieces and people sound like, not
the noises that the benchmark hears with.
"""

from __future__ import annotations

import math

import torch
from torch import Tensor
from torch.nn import functional

from adapt.augment import RATE, active_level, babble, coloured_noise, uniform


def _unit(noise: Tensor) -> Tensor:
    return noise / noise.square().mean(1, keepdim=True).sqrt().clamp(min=1e-6)


def wander(like: Tensor, low: float, high: float) -> Tensor:
    """A smooth random walk between -1 and 1 in each clip, `low` to `high` turns a second."""
    count, length = like.shape
    hertz = math.exp(torch.empty(()).uniform_(math.log(low), math.log(high)).item())
    knots = torch.rand(count, 1, int(length / RATE * hertz) + 4, device=like.device) * 2 - 1
    return functional.interpolate(knots, size=length, mode="linear", align_corners=True)[:, 0]


def rushing(like: Tensor) -> Tensor:
    """Air through a tip: a sloping band of noise over a lower one, gurgling more or less."""
    count, length = like.shape
    spectrum = torch.fft.rfft(torch.randn_like(like))
    hertz = torch.linspace(0, RATE / 2, spectrum.shape[1], device=like.device)[None]
    low, high = uniform(count, 150, 1500, like), uniform(count, 3000, 8000, like)
    octaves = (hertz.clamp(min=50) / low).log2()
    band = torch.sigmoid((hertz - low) / (low / 5)) * torch.sigmoid((high - hertz) / (high / 20))
    upper = band * 10 ** (uniform(count, -7, 1, like) * octaves.clamp(min=0) / 20)
    lower = torch.exp(-((hertz - uniform(count, 60, 400, like)) / 200).square())
    lower = lower * uniform(count, 0, 3, like)
    noise = _unit(torch.fft.irfft(spectrum * (upper + lower), n=length))
    return noise * (1 + uniform(count, 0, 0.8, like) * wander(like, 2, 15))


def turning(like: Tensor) -> Tensor:
    """A motor or turbine: a tone that sags and wavers, over- and undertones, and its air."""
    count = len(like)
    base = 10 ** uniform(count, math.log10(150), math.log10(5500), like)
    base = base * (1 + 0.1 * torch.rand(count, 1, device=like.device) * wander(like, 0.3, 2))
    base = base * (1 + 0.02 * torch.rand(count, 1, device=like.device) * wander(like, 3, 10))
    phase = 2 * math.pi * base.cumsum(1) / RATE
    total = torch.zeros_like(like)
    for order in (0.5, 1.0, 1.5, 2.0, 3.0, 4.0):
        strength = 1.0 if order == 1.0 else uniform(count, -0.4, 0.8, like).clamp(min=0)
        total = total + torch.sin(phase * order) * strength * (base * order < 7900)
    air = rushing(like) * uniform(count, 0.05, 0.7, like)
    return _unit(total) * (1 + 0.3 * wander(like, 0.5, 4)) + air


def mixture(waves: Tensor, speech: Tensor) -> Tensor:
    """One noise a clip, at unit power; `speech` is what the babble is made of."""
    kinds = [
        (0.34, rushing(waves)), (0.22, turning(waves)), (0.2, coloured_noise(waves)),
        (0.14, babble(speech, int(torch.randint(2, 8, ()).item()))),
    ]  # fmt: skip
    two = rushing(waves) + _unit(turning(waves)) * uniform(len(waves), 0.2, 1, waves)
    chance, noise, below = torch.rand(len(waves), 1, device=waves.device), two, 0.0
    for share, made in kinds:
        noise = torch.where((chance >= below) & (chance < below + share), made, noise)
        below += share
    switched = torch.rand(len(waves), 1, device=waves.device) < 0.15
    level = torch.where(switched, torch.sigmoid(wander(waves, 0.3, 1) * 12), 1.0)
    return _unit(noise) * level


def in_surgery(
    waves: Tensor, speech: Tensor, clean: float, low: float, high: float
) -> tuple[Tensor, Tensor]:
    """Waves with noise `low` to `high` dB under the speech; the share `clean` stays without.

    Also gives the noise itself.
    """
    count = len(waves)
    level = active_level(waves) * 10 ** (-uniform(count, low, high, waves) / 20)
    level = level * (torch.rand(count, 1, device=waves.device) >= clean)
    noise = mixture(waves, speech) * level
    return waves + noise, noise
