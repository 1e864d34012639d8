"""Where each parameter of the speech model lies in its quantised ONNX graphs."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import onnx
import onnxruntime
from numpy.typing import NDArray
from onnx import numpy_helper

ENCODER, DECODER = "encoder_model", "decoder_model_merged"
Array = NDArray[np.generic]


@dataclass(frozen=True)
class Place:
    """Initialisers that hold one parameter."""

    parameter: str
    """Name in the `transformers` Moonshine class."""
    values: str
    scale: str | None = None
    """None for a parameter kept in float."""
    zero_point: str | None = None
    transposed: bool = False

    def read(self, tensors: dict[str, Array]) -> NDArray[np.float32]:
        """The parameter, dequantised, in the shape of the initialiser or its transpose."""
        value = tensors[self.values].astype(np.float32)
        if self.scale is not None and self.zero_point is not None:
            value = (value - tensors[self.zero_point].astype(np.float32)) * tensors[self.scale]
        return value.T if self.transposed else value


def to_onnx(source: Path, target: Path) -> None:
    """Write an .ort file as plain .onnx, its nodes untouched."""
    options = onnxruntime.SessionOptions()
    options.optimized_model_filepath = str(target)
    options.add_session_config_entry("session.save_model_format", "ONNX")
    options.graph_optimization_level = onnxruntime.GraphOptimizationLevel.ORT_DISABLE_ALL
    onnxruntime.InferenceSession(str(source), options, providers=["CPUExecutionProvider"])


def graphs(model: onnx.ModelProto) -> list[onnx.GraphProto]:
    """The main graph and those of its branches."""
    top = model.graph
    return [top, *(a.g for node in top.node for a in node.attribute if a.g.node)]


def tensors(model: onnx.ModelProto) -> dict[str, Array]:
    """All initialisers by name."""
    found = (tensor for graph in graphs(model) for tensor in graph.initializer)
    return {tensor.name: numpy_helper.to_array(tensor) for tensor in found}


def places(model: onnx.ModelProto, part: str) -> list[Place]:
    """Every parameter of the encoder or decoder graph, once each."""
    known = tensors(model)
    found: dict[str, Place] = {}
    for graph in graphs(model):
        for node in graph.node:
            for place in _of_node(node, part, known):
                found.setdefault(place.parameter, place)
    return list(found.values())


def _of_node(node: onnx.NodeProto, part: str, known: dict[str, Array]) -> Iterator[Place]:
    side = "encoder" if part == ENCODER else "decoder"
    path = re.sub(r"^/(model/decoder/)?", "", node.name)
    name = f"model.{side}." + path.rsplit("/", 1)[0].replace("/", ".")
    inputs = list(node.input)
    if node.op_type in ("MatMulIntegerToFloat", "DynamicQuantizeMatMul"):
        scale, zero = (3, 5) if node.op_type == "MatMulIntegerToFloat" else (2, 3)
        weight = "proj_out.weight" if path.startswith("proj_out") else f"{name}.weight"
        yield Place(weight, inputs[1], inputs[scale], inputs[zero], transposed=True)
        if len(inputs) > 4 and inputs[4].split("_merged")[0].endswith(".bias"):
            yield Place(f"{name}.bias", inputs[4])
    elif node.op_type == "LayerNormalization":
        yield Place(f"{name}.weight", inputs[1])
    elif node.op_type == "SkipLayerNormalization":
        yield Place(f"model.{side}.layer_norm.weight", inputs[2])
    elif node.op_type in ("Conv", "FusedConv"):
        yield Place(f"{name}.weight", inputs[1])
        if len(inputs) > 2:
            yield Place(f"{name}.bias", inputs[2])
    elif node.name in ("/groupnorm/Mul", "/groupnorm/Add"):
        kind = "weight" if node.name.endswith("Mul") else "bias"
        yield Place(f"{name}.{kind}", inputs[1])
    elif node.op_type == "Gather" and "embed_tokens" in node.name:
        stem = inputs[0].removesuffix("_quantized")
        if f"{stem}_scale" in known:
            yield Place(f"{name}.weight", inputs[0], f"{stem}_scale", f"{stem}_zero_point")
