"""The sentences that settings are judged by: hand-written dictations, and general English.

    python -m adapt.devset DEV.toml SOURCES TRAINING.jsonl OUT.jsonl

DEV.toml holds the benchmark's development sentences. None of the sentences is in TRAINING.jsonl.
"""

from __future__ import annotations

import json
import sys
import tomllib
from itertools import islice
from pathlib import Path
from random import Random

from adapt.text import HERE, Pronouncer, ordinary, plain

GENERAL = 150
SEED = 99


def main() -> None:
    sentences, sources, training, out = map(Path, sys.argv[1:5])
    said = [row["say"] for row in tomllib.loads(sentences.read_text("utf-8"))["sentence"]]
    taken = {plain(json.loads(line)["text"]) for line in training.open(encoding="utf-8")}
    pronouncer = Pronouncer(HERE / "pronunciation.toml", Random(SEED))
    rows = [{"text": t, "say": pronouncer.say(t.lower()), "kind": "trade"} for t in said]
    others = (row for row in ordinary(sources, Random(SEED), 60_000))
    rows += islice((row for row in others if plain(row["text"]) not in taken), GENERAL)
    out.write_text("".join(json.dumps(row) + "\n" for row in rows), encoding="utf-8")


if __name__ == "__main__":
    main()
