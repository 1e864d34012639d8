"""Real human speech to keep the model's ear for it, as shards with what the original hears.

    python -m adapt.real FOLDER [FOLDER ...] --out REAL

Any language serves: all that is asked of the adapted model on these clips is that it does what
the original does with the same sound, so no transcript is needed. Recordings are cut at pauses
into clips that an utterance could be. The telephone prompts in English are the guard of this work
(`adapt.prompts`) and must not be among the folders.
"""

from __future__ import annotations

import argparse
import json
from collections.abc import Iterator
from pathlib import Path

import numpy as np

from adapt.listen import RATE, Floats, Listener, read_clip
from adapt.rebuild import PACKAGED
from adapt.speech import Row, write_clips
from adapt.tokens import END

KINDS = (".wav", ".flac", ".mp3", ".ogg", ".opus", ".g722", ".gsm")
LONGEST_S, SHORTEST_S, PAUSE_S = 12.0, 0.7, 0.2
QUIET = 0.02
"""Of the recording's peak."""


def pieces(samples: Floats) -> Iterator[Floats]:
    """Cut at the last pause before the greatest length; what has no pause is cut there."""
    peak = float(np.abs(samples).max(initial=0.0))
    if peak < 1e-3:
        return
    samples = samples / peak * 0.7
    while len(samples) > LONGEST_S * RATE:
        at = _pause(samples[: int(LONGEST_S * RATE)])
        yield samples[:at]
        samples = samples[at:]
    if len(samples) >= SHORTEST_S * RATE:
        yield samples


def _pause(samples: Floats) -> int:
    """The middle of the last quiet stretch in the second half, or the end."""
    step = RATE // 100
    loud = np.abs(samples[: len(samples) // step * step]).reshape(-1, step).max(axis=1) > QUIET
    need, run = int(PAUSE_S * 100), 0
    for at in range(len(loud) - 1, len(loud) // 2, -1):
        run = 0 if loud[at] else run + 1
        if run >= need:
            return (at + need // 2) * step
    return len(samples)


def row_of(listener: Listener, samples: Floats, source: str) -> Row | None:
    """The clip's row; None where the original hears nothing in it."""
    tokens = [*listener.greedy(listener.encode(np.pad(samples, 2_000))), END]
    if len(tokens) < 4:
        return None
    text = listener.tokeniser.decode(tokens[:-1])
    return {"text": text, "kind": "real", "tokens": tokens, "voice": {"name": source}}


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folders", nargs="+", type=Path)
    parser.add_argument("--out", type=Path, required=True)
    given = parser.parse_args()
    given.out.mkdir(parents=True, exist_ok=True)
    listener = Listener(PACKAGED)
    for number, folder in enumerate(given.folders):
        made = []
        for path in sorted(each for each in folder.rglob("*") if each.suffix in KINDS):
            for samples in pieces(read_clip(path)):
                if (row := row_of(listener, samples, folder.name)) is not None:
                    made.append((row, samples))
        write_clips(made, given.out / f"real_{number:02d}.npz")
        seconds = sum(len(samples) for _, samples in made) / RATE
        print(json.dumps({"source": folder.name, "clips": len(made), "seconds": round(seconds)}))


if __name__ == "__main__":
    main()
