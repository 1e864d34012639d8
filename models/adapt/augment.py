"""Make clean synthetic clips sound like other people in other rooms, in batches on the GPU.

All functions take and give waveforms of shape (clips, samples) at 16 kHz.
"""

from __future__ import annotations

import math

import torch
from torch import Tensor
from torch.nn import functional

RATE = 16_000
STEP = 4_000
"""Widths are multiples of this, as in `adapt.clips`."""
_WINDOW, _HOP = 512, 128


def uniform(count: int, low: float, high: float, like: Tensor) -> Tensor:
    """`count` random numbers, one a clip, as a column."""
    return torch.rand(count, 1, device=like.device) * (high - low) + low


def active_level(waves: Tensor) -> Tensor:
    """Root mean square of the samples that are speech, as a column."""
    speech = waves.abs() > 0.02 * waves.abs().amax(dim=1, keepdim=True)
    energy = (waves.square() * speech).sum(1, keepdim=True)
    return (energy / speech.sum(1, keepdim=True).clamp(min=1)).sqrt().clamp(min=1e-4)


def resample(waves: Tensor, lengths: Tensor, rates: Tensor) -> tuple[Tensor, Tensor]:
    """Play each clip `rates` times as fast: pitch, formants and pace all move."""
    after = (lengths / rates).long()
    width = -(-int(after.max()) // STEP) * STEP
    at = torch.arange(width, device=waves.device)[None] * rates[:, None]
    grid = torch.stack([at / (waves.shape[1] - 1) * 2 - 1, torch.zeros_like(at)], -1)[:, None]
    out = functional.grid_sample(waves[:, None, None], grid, mode="bicubic", align_corners=True)[
        :, 0, 0
    ]
    inside = torch.arange(width, device=waves.device)[None] < after[:, None]
    return out * inside, after


def _spectrum(waves: Tensor) -> Tensor:
    window = torch.hann_window(_WINDOW, device=waves.device)
    return torch.stft(waves, _WINDOW, _HOP, window=window, return_complex=True)


def _waves(spectrum: Tensor, length: int) -> Tensor:
    window = torch.hann_window(_WINDOW, device=spectrum.device)
    return torch.istft(spectrum, _WINDOW, _HOP, window=window, length=length)


def stretch(waves: Tensor, factor: float) -> Tensor:
    """Phase vocoder: `factor` times as long at the same pitch."""
    spectrum = _spectrum(waves)
    steps = torch.arange(0, spectrum.shape[2] - 1, 1 / factor, device=waves.device)
    first, share = steps.long(), steps - steps.long()
    here, after = spectrum[..., first], spectrum[..., (first + 1).clamp(max=spectrum.shape[2] - 1)]
    size = here.abs() * (1 - share) + after.abs() * share
    advance = torch.linspace(0, math.pi * _HOP, spectrum.shape[1], device=waves.device)[:, None]
    turn = after.angle() - here.angle() - advance
    turn = turn - 2 * math.pi * torch.round(turn / (2 * math.pi)) + advance
    phase = torch.cat([here[..., :1].angle(), turn[..., :-1]], -1).double().cumsum(-1).float()
    return _waves(torch.polar(size, phase), int(waves.shape[1] * factor))


def move_formants(waves: Tensor, factors: Tensor) -> Tensor:
    """Scale the spectral envelope's frequencies by `factors` (a column); pitch stays."""
    spectrum = _spectrum(waves)
    logs = spectrum.abs().clamp(min=1e-5).log()
    cepstrum = torch.fft.irfft(logs.transpose(1, 2), dim=-1)
    cepstrum[..., 32:-31] = 0
    envelope = torch.fft.rfft(cepstrum, dim=-1).real.transpose(1, 2)
    bins = envelope.shape[1]
    source = (torch.arange(bins, device=waves.device)[None] / factors).clamp(max=bins - 1)
    low = source.long()
    high, share = (low + 1).clamp(max=bins - 1), (source - low)[..., None]
    index = low[..., None].expand_as(envelope), high[..., None].expand_as(envelope)
    moved = envelope.gather(1, index[0]) * (1 - share) + envelope.gather(1, index[1]) * share
    return _waves(spectrum * (moved - envelope).clamp(-4, 4).exp(), waves.shape[1])


def _filtered(waves: Tensor, gains: Tensor) -> Tensor:
    """Multiply the spectrum of each clip by a row of `gains` (frequencies from 0 to 8 kHz)."""
    spectrum = torch.fft.rfft(waves)
    curve = functional.interpolate(
        gains[:, None], size=spectrum.shape[1], mode="linear", align_corners=True
    )[:, 0]
    return torch.fft.irfft(spectrum * curve, n=waves.shape[1])


def microphone(waves: Tensor, chance: float = 0.6, telephone: float = 0.12) -> Tensor:
    """Colour by a smooth random curve, roll-offs at both ends, and sometimes a telephone band."""
    count = len(waves)
    curve = torch.randn(count, 9, device=waves.device) * 3
    curve = functional.interpolate(curve[:, None], size=257, mode="linear", align_corners=True)[
        :, 0
    ]
    curve = curve * (torch.rand(count, 1, device=waves.device) < chance)
    hertz = torch.linspace(0, RATE / 2, 257, device=waves.device)[None]
    narrow = torch.rand(count, 1, device=waves.device) < telephone
    low = torch.where(narrow, 300.0, uniform(count, 20, 150, waves))
    high = torch.where(narrow, 3400.0, uniform(count, 5500, 9000, waves))
    edges = torch.sigmoid((hertz - low) / (low / 6)) * torch.sigmoid((high - hertz) / (high / 30))
    return _filtered(waves, 10 ** (curve / 20) * edges)


def room(waves: Tensor, chance: float = 0.4) -> Tensor:
    """Exponentially dying noise as the room's answer; the direct sound stays first."""
    count, taps = len(waves), RATE // 2
    time = torch.arange(taps, device=waves.device)[None] / RATE
    decay = torch.exp(-6.9 * time / uniform(count, 0.08, 0.6, waves))
    tail = torch.randn(count, taps, device=waves.device) * decay
    tail = tail / tail.square().sum(1, keepdim=True).sqrt()
    ratio = 10 ** (-uniform(count, -2, 18, waves) / 20)
    used = torch.rand(count, 1, device=waves.device) < chance
    answer = tail * ratio * used
    answer[:, 0] = 1
    size = 1 << (waves.shape[1] + taps - 1).bit_length()
    product = torch.fft.rfft(waves, size) * torch.fft.rfft(answer, size)
    return torch.fft.irfft(product, size)[:, : waves.shape[1]]


def coloured_noise(like: Tensor) -> Tensor:
    """Noise with a random slope (white to brown), or hiss in a random band."""
    count, length = like.shape
    spectrum = torch.fft.rfft(torch.randn_like(like))
    hertz = torch.linspace(1, RATE / 2, spectrum.shape[1], device=like.device)[None].clamp(min=40)
    slope = uniform(count, 0, 1.1, like)
    slope = torch.where(torch.rand_like(slope) < 0.3, torch.zeros_like(slope), slope)
    shape = hertz**-slope
    shape = shape / shape.square().mean(1, keepdim=True).sqrt()
    white = torch.rand(count, 1, device=like.device) < 0.4
    shape = torch.where(white, (shape + 1) / 2, shape)  # pink and white together
    centre, width = uniform(count, 300, 6000, like), uniform(count, 200, 3000, like)
    band = torch.exp(-((hertz - centre) / width).square())
    shape = torch.where(torch.rand(count, 1, device=like.device) < 0.12, band + 0.02, shape)
    noise = torch.fft.irfft(spectrum * shape, n=length)
    return noise / noise.std(1, keepdim=True).clamp(min=1e-6)


def whine(like: Tensor) -> Tensor:
    """A motor's tone with harmonics that wavers: suction, a handpiece, a fan."""
    count, length = like.shape
    time = torch.arange(length, device=like.device)[None] / RATE
    base = uniform(count, 90, 3500, like) * (
        1 + 0.01 * torch.sin(6.28 * time * uniform(count, 0.2, 5, like))
    )
    phase = 2 * math.pi * base.cumsum(1) / RATE
    tone = sum(
        torch.sin(phase * order) * uniform(count, 0.1, 1, like) * (base * order < 7800)
        for order in range(1, 7)
    )
    return tone / tone.std(1, keepdim=True).clamp(min=1e-6)  # type: ignore[union-attr]


def babble(waves: Tensor, voices: int = 4) -> Tensor:
    """Other clips of the batch, shifted and summed."""
    total = torch.zeros_like(waves)
    for _ in range(voices):
        order = torch.randperm(len(waves), device=waves.device)
        shift = int(torch.randint(waves.shape[1], ()).item())
        total = total + waves[order].roll(shift, 1) / active_level(waves[order])
    return total / total.std(1, keepdim=True).clamp(min=1e-6)


def noisy(waves: Tensor, clean: float = 0.25, low: float = -2.0, high: float = 26.0) -> Tensor:
    """Add noise of one or more kinds; the share `clean` stays without."""
    count, device = len(waves), waves.device
    kind = torch.rand(count, 1, device=device)
    noise = coloured_noise(waves)
    noise = noise + whine(waves) * uniform(count, 0.3, 1.5, waves) * (kind < 0.18)
    noise = noise * (kind < 0.88) + babble(waves) * ((kind > 0.8) * 0.9 + 0.02)
    noise = noise / noise.std(1, keepdim=True).clamp(min=1e-6)
    level = active_level(waves) * 10 ** (-uniform(count, low, high, waves) / 20)
    return waves + noise * level * (torch.rand(count, 1, device=device) >= clean)


def levelled(waves: Tensor) -> Tensor:
    """A random level; now and then a little overdriven."""
    count = len(waves)
    peak = waves.abs().amax(1, keepdim=True).clamp(min=1e-4)
    gain = 10 ** (uniform(count, -26, 0, waves) / 20) / peak
    loud = torch.rand(count, 1, device=waves.device) < 0.06
    return (waves * gain * torch.where(loud, 2.5, 1.0)).clamp(-1, 1)


def another_speaker(waves: Tensor, lengths: Tensor) -> tuple[Tensor, Tensor]:
    """Other pitch, vocal tract and pace; the amount of pitch is common to the batch."""
    count = len(waves)
    pitch = 1.0
    if torch.rand(()).item() < 0.5:
        pitch = math.exp(torch.empty(()).uniform_(-0.35, 0.5).item())
        waves, lengths = stretch(waves, pitch), (lengths * pitch).long()
    pace = uniform(count, 0.9, 1.12, waves)[:, 0]
    waves, lengths = resample(waves, lengths, pace * pitch)
    if torch.rand(()).item() < 0.7:
        tract = uniform(count, 0.86, 1.16, waves) / pitch**0.6
        waves = move_formants(waves, tract)
    return waves, lengths


def lightly(waves: Tensor) -> Tensor:
    """Another microphone, often a telephone, and another level: still easy to understand."""
    return levelled(microphone(waves, chance=0.4, telephone=0.3))


def heavily(waves: Tensor) -> Tensor:
    """A room, noise and a microphone, in either order of the last two, and a level."""
    waves = room(waves / active_level(waves) * 0.08)
    if torch.rand(()).item() < 0.5:
        return levelled(noisy(microphone(waves)))
    return levelled(microphone(noisy(waves)))
