"""Speak the sentences: shards of clips, written as they are done.

    python -m adapt.speech SPOKEN.jsonl OUT --joe VOICE.onnx --workers 16

A shard is a NumPy file with all its samples end to end (`audio`, int16, 16 kHz), the first sample
of each clip (`starts`, one more than clips) and the rows (`rows`, JSON).
"""

from __future__ import annotations

import argparse
import json
import os
from collections.abc import Iterator
from functools import partial
from multiprocessing import Pool
from pathlib import Path
from typing import Any

import numpy as np

from adapt.voices import Floats, Voice, speak

LONGEST_S = 9.0
SHARD = 100
"""Clips in a shard; small, so that training can begin early."""
Row = dict[str, Any]


def clip(row: Row, joe: Path) -> Floats | None:
    """The sentence spoken at a common level, or None if it is too long or failed."""
    try:
        samples = speak(Voice(**row["voice"]), row["say"], row.get("ids"), joe)
    except (OSError, ValueError, RuntimeError) as error:
        print("not spoken:", row["say"], error, flush=True)
        return None
    peak = float(np.abs(samples).max(initial=0.0))
    if peak < 1e-3 or not 0.3 < len(samples) / 16_000 < LONGEST_S:
        return None
    return _trimmed(samples / peak * 0.7)


def _trimmed(samples: Floats) -> Floats:
    """Without the silence at both ends, but for a short margin."""
    loud = np.flatnonzero(np.abs(samples) > 0.01)
    return samples[max(0, loud[0] - 800) : loud[-1] + 1600]


def write_shard(job: tuple[int, list[Row]], out: Path, joe: Path) -> int:
    """Speak the rows of one shard; returns how many clips it holds."""
    number, rows = job
    made = [(row, samples) for row in rows if (samples := clip(row, joe)) is not None]
    write_clips(made, out / f"shard_{number:05d}.npz")
    return len(made)


def write_clips(made: list[tuple[Row, Floats]], path: Path) -> None:
    """Write rows and their samples as a shard; it appears under its name when it is whole."""
    audio = [(samples * 32_000).astype(np.int16) for _, samples in made]
    starts = np.cumsum([0, *(len(each) for each in audio)])
    kept = ("text", "kind", "voice", "tokens")
    texts = [{key: row[key] for key in kept} for row, _ in made]
    with path.with_suffix(".part").open("wb") as file:
        np.savez(file, audio=np.concatenate(audio), starts=starts, rows=json.dumps(texts))
    path.with_suffix(".part").rename(path)


def read_shard(path: Path) -> Iterator[tuple[Row, np.ndarray]]:
    """Each row of a shard with its samples."""
    with np.load(path) as stored:
        audio, starts = stored["audio"], stored["starts"]
        rows = json.loads(str(stored["rows"]))
    for row, first, last in zip(rows, starts[:-1], starts[1:], strict=True):
        yield row, audio[first:last]


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("sentences", type=Path)
    parser.add_argument("out", type=Path)
    parser.add_argument("--joe", type=Path, required=True)
    parser.add_argument("--workers", type=int, default=os.cpu_count())
    given = parser.parse_args()
    given.out.mkdir(parents=True, exist_ok=True)
    rows = [json.loads(line) for line in given.sentences.read_text(encoding="utf-8").splitlines()]
    jobs = list(enumerate(rows[at : at + SHARD] for at in range(0, len(rows), SHARD)))
    with Pool(given.workers) as pool:
        work = partial(write_shard, out=given.out, joe=given.joe)
        print(sum(pool.imap_unordered(work, jobs)), "clips")


if __name__ == "__main__":
    main()
