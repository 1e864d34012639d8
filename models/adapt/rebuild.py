"""Rebuild the packaged model in PyTorch.

    python -m adapt.rebuild WORK               writes WORK/base/*.onnx and WORK/original.npz
    python -m adapt.rebuild WORK MODEL_DIR     the same of another model in the packaged layout

`adapt.proof` shows that the rebuilt model computes what onnxruntime computes.
"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

import moonshine_voice
import numpy as np
import onnx
import torch
from numpy.typing import NDArray
from transformers import MoonshineConfig, MoonshineForConditionalGeneration

from adapt.graph import DECODER, ENCODER, places, tensors, to_onnx

PACKAGED = Path(moonshine_voice.__file__).parent / "assets" / "tiny-en"
TIED = "proj_out.weight"
Weights = dict[str, NDArray[np.float32]]


def convert(base: Path, packaged: Path = PACKAGED) -> None:
    """Write the .ort graphs of a model as .onnx into `base`."""
    base.mkdir(parents=True, exist_ok=True)
    for part in (ENCODER, DECODER):
        to_onnx(packaged / f"{part}.ort", base / f"{part}.onnx")


def read_weights(base: Path) -> Weights:
    """All parameters of the model, dequantised, under their PyTorch names."""
    weights: Weights = {}
    for part in (ENCODER, DECODER):
        model = onnx.load(base / f"{part}.onnx")
        known = tensors(model)
        for place in places(model, part):
            weights[place.parameter] = _laid(place.read(known))
    return weights


def build(weights: Weights) -> Any:
    """The PyTorch model with these weights; KeyError-like RuntimeError if one is missing."""
    model = MoonshineForConditionalGeneration(MoonshineConfig())
    model.state_dict()
    state = {name: torch.tensor(np.ascontiguousarray(value)) for name, value in weights.items()}
    state.setdefault(TIED, state["model.decoder.embed_tokens.weight"])
    model.load_state_dict(state, strict=True)
    model.tie_weights()
    return model.eval()


def save(weights: Weights, path: Path) -> None:
    """Write weights in half precision, the tied output left out."""
    half = {name: value.astype(np.float16) for name, value in weights.items() if name != TIED}
    np.savez(path, **half)  # type: ignore[arg-type]


def save_original(base: Path, path: Path) -> None:
    """Write the packaged weights with the very bytes they are packaged in."""
    stored: dict[str, NDArray[np.generic]] = {}
    for part in (ENCODER, DECODER):
        model = onnx.load(base / f"{part}.onnx")
        known = tensors(model)
        for place in places(model, part):
            if place.parameter == TIED:
                continue
            value = known[place.values]
            stored[place.parameter] = value.T if place.transposed else value
            if place.scale and place.zero_point:
                grid = [float(known[place.scale]), float(known[place.zero_point])]
                stored[f"{place.parameter}|grid"] = np.array(grid)
    np.savez_compressed(path, **stored)  # type: ignore[arg-type]


def load(path: Path) -> Weights:
    """Weights written by `save` or `save_original`."""
    weights: Weights = {}
    with np.load(path) as stored:
        for name in (each for each in stored.files if not each.endswith("|grid")):
            value = stored[name].astype(np.float32)
            if f"{name}|grid" in stored:
                scale, zero = stored[f"{name}|grid"]
                value = (value - np.float32(zero)) * np.float32(scale)
            weights[name] = _laid(value.astype(np.float32))
    return weights


def _laid(value: NDArray[np.float32]) -> NDArray[np.float32]:
    """The graph keeps the norm's factors as columns, PyTorch as rows of one dimension."""
    return value[:, 0] if value.ndim == 2 and value.shape[1] == 1 else value


def main() -> None:
    work = Path(sys.argv[1])
    convert(work / "base", Path(sys.argv[2]) if len(sys.argv) > 2 else PACKAGED)
    weights = read_weights(work / "base")
    tied = np.abs(weights[TIED] - weights["model.decoder.embed_tokens.weight"]).max()
    print(f"{len(weights)} parameters; output and embedding differ by {tied:.2g} at most")
    build(weights)
    save_original(work / "base", work / "original.npz")


if __name__ == "__main__":
    main()
