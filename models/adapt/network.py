"""The model made fit for padded batches: padding changes neither its norm nor its attention."""

from __future__ import annotations

from typing import Any

import torch
from torch import Tensor, nn

from adapt.rebuild import Weights, build

FRAME = 384
"""Samples from one encoder state to the next."""


class MaskedGroupNorm(nn.GroupNorm):
    """Group norm over the frames of each clip alone; plain group norm would count the padding."""

    frames: Tensor | None = None
    """Valid frames of each clip of the batch; None: all."""

    def forward(self, x: Tensor) -> Tensor:
        if self.frames is None:
            return super().forward(x)
        x = x.float()
        valid = torch.arange(x.shape[2], device=x.device)[None] < self.frames[:, None]
        count = (self.frames * x.shape[1]).float()[:, None, None]
        mean = (x * valid[:, None]).sum((1, 2), keepdim=True) / count
        spread = ((x - mean).square() * valid[:, None]).sum((1, 2), keepdim=True) / count
        normed = (x - mean) * torch.rsqrt(spread + self.eps)
        return normed * self.weight[None, :, None] + self.bias[None, :, None]


class ExactConv(nn.Conv1d):
    """The first convolution in full precision: quiet speech is lost in half precision."""

    def forward(self, x: Tensor) -> Tensor:
        with torch.autocast(x.device.type, enabled=False):
            return super().forward(x.float())


def trainable(weights: Weights, device: str) -> Any:
    """The model with the two layers above in place of the plain ones."""
    model = build(weights)
    encoder = model.model.encoder
    norm, conv = encoder.groupnorm, encoder.conv1
    encoder.groupnorm = MaskedGroupNorm(1, norm.num_channels, eps=norm.eps)
    encoder.groupnorm.load_state_dict(norm.state_dict())
    encoder.conv1 = ExactConv(1, conv.out_channels, 127, stride=64, bias=False)
    encoder.conv1.load_state_dict(conv.state_dict())
    return model.to(device)


def frames(lengths: Tensor) -> tuple[Tensor, Tensor]:
    """Frames after the first convolution, and encoder states, of clips of these lengths."""
    first = torch.div(lengths - 127, 64, rounding_mode="floor") + 1
    second = torch.div(first - 7, 3, rounding_mode="floor") + 1
    return first, torch.div(second - 3, 2, rounding_mode="floor") + 1


def mask(model: Any, waves: Tensor, lengths: Tensor) -> Tensor:
    """Set the norm's frames, and give the mask that leaves exactly the clips' own states."""
    first, states = frames(lengths)
    model.model.encoder.groupnorm.frames = first
    at = torch.arange(waves.shape[1], device=waves.device)[None]
    return (at < (states * FRAME)[:, None]).long()


def logits(model: Any, waves: Tensor, lengths: Tensor, given: Tensor) -> Tensor:
    """Logits after each given token; shape (clips, tokens, pieces)."""
    attention = mask(model, waves, lengths)
    return model(input_values=waves, attention_mask=attention, decoder_input_ids=given).logits


def greedy(model: Any, waves: Tensor, lengths: Tensor, longest: int = 64) -> list[list[int]]:
    """The best token at each step, for each clip."""
    attention = mask(model, waves, lengths)
    with torch.no_grad():
        found = model.generate(
            input_values=waves, attention_mask=attention, max_new_tokens=longest, do_sample=False
        )
    return [list(map(int, each)) for each in found]


def weights_of(model: Any) -> Weights:
    """The model's weights as arrays, the tied output left out."""
    state = model.state_dict()
    return {
        name: value.detach().float().cpu().numpy()
        for name, value in state.items()
        if name != "proj_out.weight"
    }
