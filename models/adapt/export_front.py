"""Write the help in noise as two ONNX graphs beside the model that it is for.

    python -m adapt.export_front OUT_DIR HELP.npz [HELP.npz ...]

Of several trainings the mean of the weights is taken.
"""

from __future__ import annotations

import sys
from pathlib import Path

import torch

from adapt.front import BINS, SIZE, Help
from adapt.train_front import read_help

OPSET = 17


def mean_of(paths: list[Path]) -> Help:
    """Help with the mean of the trained weights."""
    states = [read_help(path).state_dict() for path in paths]
    help_ = Help().eval()
    help_.load_state_dict(
        {name: torch.stack([state[name] for state in states]).mean(0) for name in states[0]}
    )
    return help_


def export(help_: Help, out: Path) -> None:
    """Write `front.onnx` and `mend.onnx`; frames and states of any number."""
    torch.onnx.export(
        help_.front, (torch.randn(1, BINS, 60), torch.randn(1, BINS, 1)), str(out / "front.onnx"),
        input_names=["levels", "floors"], output_names=["factors"], opset_version=OPSET,
        dynamic_axes={"levels": {2: "frames"}, "factors": {2: "frames"}}, dynamo=False,
    )  # fmt: skip
    torch.onnx.export(
        help_.mend, (torch.randn(1, 50, SIZE),), str(out / "mend.onnx"),
        input_names=["states"], output_names=["mended"], opset_version=OPSET,
        dynamic_axes={"states": {1: "states"}, "mended": {1: "states"}}, dynamo=False,
    )  # fmt: skip


def main() -> None:
    out, *trained = map(Path, sys.argv[1:])
    export(mean_of(trained), out)


if __name__ == "__main__":
    main()
