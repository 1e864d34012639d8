"""Carry large float weights compactly: eight bits a value, one scale a row.

python -m adapt.packing pack-voice VOICE.onnx OUT.npz    and    unpack-voice OUT.npz VOICE.onnx
python -m adapt.packing split FILE OUT_DIR               and    join OUT_DIR FILE
"""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
import onnx
from numpy.typing import NDArray
from onnx import numpy_helper

SMALL = 2_000
"""Arrays of fewer values are kept as they are."""
PIECE = 15 * 2**20
"""Bytes of a piece of a split file."""
Arrays = dict[str, NDArray[np.float32]]


def pack(arrays: Arrays, path: Path) -> None:
    """Write the arrays with eight bits a value; error at most half a step of each row."""
    packed: dict[str, np.ndarray] = {}
    for name, value in arrays.items():
        if value.size < SMALL:
            packed[f"{name}|f"] = value
            continue
        rows = value.reshape(value.shape[0], -1)
        scale = np.maximum(np.abs(rows).max(axis=1, keepdims=True) / 127, 1e-12)
        packed[f"{name}|q"] = np.round(rows / scale).astype(np.int8).reshape(value.shape)
        packed[f"{name}|s"] = scale.astype(np.float32)
    np.savez_compressed(path, **packed)  # type: ignore[arg-type]


def unpack(path: Path) -> Arrays:
    """The arrays of `pack`."""
    arrays: Arrays = {}
    with np.load(path) as stored:
        for key in stored.files:
            name, kind = key.rsplit("|", 1)
            if kind == "f":
                arrays[name] = stored[key]
            elif kind == "q":
                value = stored[key]
                rows = value.reshape(value.shape[0], -1) * stored[f"{name}|s"]
                arrays[name] = rows.reshape(value.shape).astype(np.float32)
    return arrays


def pack_voice(model_path: Path, out: Path) -> None:
    """A voice's graph without its weights (inside the pack), and the weights packed."""
    model = onnx.load(model_path)
    floats: Arrays = {}
    for tensor in model.graph.initializer:
        value = numpy_helper.to_array(tensor)
        if value.dtype == np.float32 and value.size >= SMALL:
            floats[tensor.name] = value
            tensor.ClearField("raw_data")
            tensor.ClearField("float_data")
    pack(floats, out)
    out.with_suffix(".graph").write_bytes(model.SerializeToString())


def unpack_voice(packed: Path, model_path: Path) -> None:
    """The voice of `pack_voice` as an ordinary ONNX file."""
    model = onnx.ModelProto.FromString(packed.with_suffix(".graph").read_bytes())
    floats = unpack(packed)
    for tensor in model.graph.initializer:
        if tensor.name in floats:
            tensor.CopyFrom(numpy_helper.from_array(floats[tensor.name], tensor.name))
    onnx.save(model, model_path)


def split(path: Path, directory: Path) -> None:
    """Cut a file into numbered pieces."""
    data = path.read_bytes()
    directory.mkdir(parents=True, exist_ok=True)
    for number, at in enumerate(range(0, len(data), PIECE)):
        (directory / f"{path.name}.{number:02d}").write_bytes(data[at : at + PIECE])


def join(pattern: Path, path: Path) -> None:
    """Put the pieces named `pattern`.NN together again."""
    pieces = sorted(pattern.parent.glob(f"{pattern.name}.[0-9][0-9]"))
    path.write_bytes(b"".join(piece.read_bytes() for piece in pieces))


def main() -> None:
    does = {
        "pack-voice": pack_voice, "unpack-voice": unpack_voice, "split": split, "join": join,
    }  # fmt: skip
    does[sys.argv[1]](Path(sys.argv[2]), Path(sys.argv[3]))


if __name__ == "__main__":
    main()
