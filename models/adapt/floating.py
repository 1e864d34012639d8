"""The packaged graph without its quantisation: the same nodes, in float throughout."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import onnx
from onnx import helper, numpy_helper

from adapt.graph import graphs, tensors


def without_quantisation(model: onnx.ModelProto) -> onnx.ModelProto:
    """A copy in which each quantised product is a float product of dequantised weights.

    Against this graph a rebuilt float model can be compared to rounding; against the quantised
    one only to the noise of eight-bit activations.
    """
    copy = onnx.ModelProto()
    copy.CopyFrom(model)
    known = tensors(copy)
    sources = _unquantised_inputs(copy)
    floats: dict[str, onnx.TensorProto] = {}
    for graph in reversed(graphs(copy)):  # branches first: replacing a node copies its branches
        nodes = [each for node in graph.node for each in _float_nodes(node, sources, known, floats)]
        del graph.node[:]
        graph.node.extend(nodes)
        graph.name = graph.name or "branch"  # a plain .onnx file needs one, an .ort file does not
    copy.graph.initializer.extend(floats.values())
    return copy


def _unquantised_inputs(model: onnx.ModelProto) -> dict[str, str]:
    """Name of each quantised activation to the name of the activation itself."""
    nodes = (node for graph in graphs(model) for node in graph.node)
    return {n.output[0]: n.input[0] for n in nodes if n.op_type == "DynamicQuantizeLinear"}


def _float_nodes(
    node: onnx.NodeProto,
    sources: dict[str, str],
    known: dict[str, np.ndarray],
    floats: dict[str, onnx.TensorProto],
) -> Iterator[onnx.NodeProto]:
    if node.op_type == "DynamicQuantizeLinear":
        return
    if node.op_type not in ("MatMulIntegerToFloat", "DynamicQuantizeMatMul"):
        yield node
        return
    inputs = list(node.input)
    integer = node.op_type == "MatMulIntegerToFloat"
    weight, scale, zero = inputs[1], *((inputs[3], inputs[5]) if integer else inputs[2:4])
    value = (known[weight].astype(np.float32) - known[zero].astype(np.float32)) * known[scale]
    floats[weight] = numpy_helper.from_array(value, f"{weight}_float")
    bias = inputs[6 if integer else 4 :]
    product = node.output[0] + ("_product" if bias and bias[0] else "")
    activation = sources.get(inputs[0], inputs[0])
    yield helper.make_node("MatMul", [activation, f"{weight}_float"], [product], node.name)
    if bias and bias[0]:
        yield helper.make_node("Add", [product, bias[0]], [node.output[0]], f"{node.name}_bias")
