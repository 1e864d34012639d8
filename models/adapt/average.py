"""Average weights: between the original and adapted ones, and over several trainings.

    python -m adapt.average ORIGINAL.npz ENCODER_SHARE DECODER_SHARE OUT.npz ADAPTED.npz [...]

Share 0 is the original, 1 the mean of the adapted ones. A share below 1 brings back what
fine-tuning forgot (Wortsman et al., Robust fine-tuning of zero-shot models, CVPR 2022).
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path

import numpy as np

from adapt.rebuild import Weights, load, save


def average(
    original: Weights, adapted: Sequence[Weights], encoder: float, decoder: float
) -> Weights:
    """Weights at these shares of the way from the original to the mean of the adapted ones."""
    mixed: Weights = {}
    for name, value in original.items():
        share = encoder if name.startswith("model.encoder.") else decoder
        mean = np.mean([each[name] for each in adapted], axis=0)
        mixed[name] = (value + share * (mean - value)).astype(np.float32)
    return mixed


def main() -> None:
    original, encoder, decoder, out, *adapted = sys.argv[1:]
    trained = [load(Path(each)) for each in adapted]
    save(average(load(Path(original)), trained, float(encoder), float(decoder)), Path(out))


if __name__ == "__main__":
    main()
