"""Proof that the rebuilt PyTorch model and the packaged ONNX graphs compute the same.

    python -m adapt.proof WORK [CLIP.wav ...]

Two steps. The packaged graphs with their quantised products replaced by float ones must agree
with PyTorch to rounding: that proves structure and weights. The graphs as packaged quantise each
activation on the fly, so they agree only within that noise, and in the tokens chosen.
"""

from __future__ import annotations

import shutil
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import onnx
import torch
from numpy.typing import NDArray

from adapt.floating import without_quantisation
from adapt.graph import DECODER, ENCODER
from adapt.listen import Listener, read_clip
from adapt.rebuild import PACKAGED, build, read_weights

Floats = NDArray[np.float32]


@dataclass(frozen=True)
class Agreement:
    """How far two arrays of the same meaning are apart."""

    relative: float
    """Norm of the difference over the norm of the reference."""
    correlation: float


def agreement(ours: Floats, reference: Floats) -> Agreement:
    """Compare two arrays of one shape."""
    difference = float(np.linalg.norm(ours - reference) / np.linalg.norm(reference))
    return Agreement(difference, float(np.corrcoef(ours.ravel(), reference.ravel())[0, 1]))


def torch_outputs(model: Any, samples: Floats, tokens: list[int]) -> tuple[Floats, Floats]:
    """Encoder states and the logits of each position after `tokens`, in PyTorch."""
    with torch.no_grad():
        encoded = model.model.encoder(torch.tensor(samples)[None])
        ids = torch.tensor([tokens])
        logits = model(encoder_outputs=encoded, decoder_input_ids=ids).logits
    return encoded.last_hidden_state[0].numpy(), logits[0].numpy()


def compare(model: Any, listener: Listener, samples: Floats) -> tuple[Agreement, Agreement, float]:
    """Agreement of the encoder, of the logits, and the share of equal best tokens."""
    heard = listener.encode(samples)
    tokens = listener.greedy(heard)
    reference = listener.logits(heard, tokens)
    ours, logits = torch_outputs(model, samples, tokens)
    same = float(np.mean(logits.argmax(-1) == reference.argmax(-1)))
    return agreement(ours, heard.states[0]), agreement(logits, reference), same


def write_float_copy(base: Path, target: Path) -> None:
    """Write the graphs of `base` without quantisation, and the tokeniser, into `target`."""
    target.mkdir(parents=True, exist_ok=True)
    for part in (ENCODER, DECODER):
        model = without_quantisation(onnx.load(base / f"{part}.onnx"))
        onnx.save(model, target / f"{part}.onnx")
    shutil.copy(PACKAGED / "tokenizer.bin", target)


def main() -> None:
    base, floating = Path(sys.argv[1]) / "base", Path(sys.argv[1]) / "floating"
    write_float_copy(base, floating)
    model = build(read_weights(base))
    clips = [Path(each) for each in sys.argv[2:]] or sorted(PACKAGED.parent.glob("*.wav"))
    for name, directory in (("float", floating), ("packaged", PACKAGED)):
        listener = Listener(directory)
        for clip in clips:
            states, logits, same = compare(model, listener, read_clip(clip)[: 16_000 * 20])
            print(f"{name} {clip.name}: encoder {states}; logits {logits}; same {same:.3f}")


if __name__ == "__main__":
    main()
