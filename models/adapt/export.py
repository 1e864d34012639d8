"""Write adapted weights into the packaged graphs: same nodes, same eight-bit scheme.

    python -m adapt.export BASE WEIGHTS.npz OUT_DIR

Only initialisers change, so layout, speed and memory are those of the original. The result is
saved as .ort, which onnxruntime loads without optimising anew.
"""

from __future__ import annotations

import shutil
import sys
import tempfile
from pathlib import Path

import numpy as np
import onnx
import onnxruntime
from numpy.typing import NDArray
from onnx import numpy_helper

from adapt.graph import DECODER, ENCODER, Place, graphs, places
from adapt.rebuild import PACKAGED, Weights, load

EMBEDDING = "model.decoder.embed_tokens.weight"


def quantise(value: NDArray[np.float32]) -> tuple[NDArray[np.uint8], np.float32, np.uint8]:
    """Eight bits with one scale and zero point: the quantiser of ONNX for unsigned weights."""
    low, high = min(0.0, float(value.min())), max(0.0, float(value.max()))
    scale = np.float32((high - low) / 255)
    zero = np.uint8(np.clip(round(-low / scale), 0, 255))
    steps = np.clip(np.round(value / scale) + np.float32(zero), 0, 255)
    return steps.astype(np.uint8), scale, zero


def initialisers(place: Place, value: NDArray[np.float32]) -> dict[str, NDArray[np.generic]]:
    """What the graph's initialisers of one parameter become."""
    laid = np.ascontiguousarray(value.T if place.transposed else value)
    if place.scale is None or place.zero_point is None:
        return {place.values: laid}
    steps, scale, zero = quantise(laid)
    return {place.values: steps, place.scale: np.array(scale), place.zero_point: np.array(zero)}


def adapted(model: onnx.ModelProto, part: str, weights: Weights) -> onnx.ModelProto:
    """The graph with these weights; KeyError if one is missing."""
    changed: dict[str, NDArray[np.generic]] = {}
    for place in places(model, part):
        name = EMBEDDING if place.parameter == "proj_out.weight" else place.parameter
        changed |= initialisers(place, weights[name])
    for graph in graphs(model):
        graph.name = graph.name or "branch"
        for tensor in graph.initializer:
            if tensor.name in changed:
                value = changed[tensor.name].reshape(tuple(tensor.dims))
                was = numpy_helper.to_array(tensor).dtype
                tensor.CopyFrom(numpy_helper.from_array(value.astype(was), tensor.name))
    return model


def to_ort(source: Path, target: Path) -> None:
    """Save an ONNX file in onnxruntime's own format, its nodes untouched."""
    options = onnxruntime.SessionOptions()
    options.optimized_model_filepath = str(target)
    options.add_session_config_entry("session.save_model_format", "ORT")
    options.graph_optimization_level = onnxruntime.GraphOptimizationLevel.ORT_DISABLE_ALL
    onnxruntime.InferenceSession(str(source), options, providers=["CPUExecutionProvider"])


def export(base: Path, weights: Weights, out: Path) -> None:
    """Write a model directory that the engine can load."""
    out.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as folder:
        for part in (ENCODER, DECODER):
            plain = Path(folder) / f"{part}.onnx"
            onnx.save(adapted(onnx.load(base / f"{part}.onnx"), part, weights), plain)
            to_ort(plain, out / f"{part}.ort")
    shutil.copy(PACKAGED / "tokenizer.bin", out)


def main() -> None:
    export(Path(sys.argv[1]), load(Path(sys.argv[2])), Path(sys.argv[3]))


if __name__ == "__main__":
    main()
