"""Write the second hearing as an ONNX graph beside the model that it is for, in eight bits.

python -m adapt.export_letters OUT_DIR LETTERS.npz [--width 88 --blocks 3]
"""

from __future__ import annotations

import argparse
from pathlib import Path

import numpy as np
import onnx
import torch
from numpy.typing import NDArray
from onnx import helper, numpy_helper

from adapt.letters import BLOCKS, SIZE, WIDTH, Letters, of_weights

OPSET = 17
SMALLEST = 512
"""Tensors of fewer numbers stay as they are."""


def export(letters: Letters, path: Path) -> None:
    """Write the graph; states of any number."""
    torch.onnx.export(
        letters, (torch.randn(1, 50, SIZE),), str(path),
        input_names=["states"], output_names=["letters"], opset_version=OPSET,
        dynamic_axes={"states": {1: "states"}, "letters": {1: "states"}}, dynamo=False,
    )  # fmt: skip
    onnx.save(shortened(in_eight_bits(onnx.load(path))), path)


def in_eight_bits(model: onnx.ModelProto) -> onnx.ModelProto:
    """The same graph with its large weights as eight-bit numbers and a scale a channel."""
    graph = model.graph
    for tensor in list(graph.initializer):
        values = numpy_helper.to_array(tensor)
        if values.dtype != np.float32 or values.size < SMALLEST:
            continue
        axis, scales, small = _rounded(values)
        name = tensor.name
        graph.initializer.remove(tensor)
        graph.initializer.append(numpy_helper.from_array(small, f"{name}.small"))
        graph.initializer.append(numpy_helper.from_array(scales, f"{name}.scales"))
        given = [f"{name}.small", f"{name}.scales"]
        graph.node.insert(0, helper.make_node("DequantizeLinear", given, [name], axis=axis))
    onnx.checker.check_model(model)
    return model


def shortened(model: onnx.ModelProto) -> onnx.ModelProto:
    """The same graph without names that only people read: they are a tenth of the file."""
    kept = {each.name for each in (*model.graph.input, *model.graph.output)}
    short: dict[str, str] = {}

    def of(name: str) -> str:
        return name if name in kept or not name else short.setdefault(name, f"t{len(short)}")

    for node in model.graph.node:
        node.name, node.doc_string = "", ""
        node.input[:] = [of(each) for each in node.input]
        node.output[:] = [of(each) for each in node.output]
    for tensor in model.graph.initializer:
        tensor.name = of(tensor.name)
    del model.graph.value_info[:]
    onnx.checker.check_model(model)
    return model


def _rounded(values: NDArray[np.float32]) -> tuple[int, NDArray[np.float32], NDArray[np.int8]]:
    """The axis along which scales differ that loses least, the scales, the rounded values."""
    best: tuple[float, int, NDArray[np.float32], NDArray[np.int8]] | None = None
    for axis in range(values.ndim):
        others = tuple(each for each in range(values.ndim) if each != axis)
        scale = np.maximum(np.abs(values).max(axis=others, keepdims=True), 1e-8) / 127
        small = np.round(values / scale).astype(np.int8)
        lost = float(np.square(values - small * scale).sum())
        if best is None or lost < best[0]:
            best = lost, axis, scale.ravel().astype(np.float32), small
    assert best is not None
    return best[1:]


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("out", type=Path)
    parser.add_argument("trained", type=Path)
    parser.add_argument("--width", type=int, default=WIDTH)
    parser.add_argument("--blocks", type=int, default=BLOCKS)
    given = parser.parse_args()
    with np.load(given.trained) as stored:
        letters = of_weights(dict(stored), given.width, given.blocks)
    export(letters, given.out / "letters.onnx")


if __name__ == "__main__":
    main()
