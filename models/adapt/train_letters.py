"""Train the second hearing (`adapt.letters`) on what the finished encoder makes of the clips.

    python -m adapt.train_letters CLIPS MODEL.npz OUT.npz --vocab ../vocab --seconds 500

MODEL.npz holds the weights of the model that is helped (`adapt.rebuild WORK MODEL_DIR`); they do
not change. Texts are spelt as the vocabulary spells.
"""

from __future__ import annotations

import argparse
import math
import random
import tomllib
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import jiwer
import numpy as np
import torch
from torch import Tensor
from torch.nn import functional

from adapt.augment import (
    active_level,
    another_speaker,
    levelled,
    microphone,
    noisy,
    resample,
    room,
)
from adapt.clips import Clip, Store, batch
from adapt.letters import BLOCKS, LETTERS, WIDTH, Letters, classes, of_weights
from adapt.network import frames, mask, trainable
from adapt.rebuild import load
from adapt.train import Average, Progress, descend

PACE = 0.94
"""Speed at which the engine gives sound to the network (`bias.toml`)."""
RATE, WARM_UP, KEEP = 2e-3, 300, 0.999
UNSURE = 0.15
"""Worth of spread in what is heard: surer networks told right from wrong words worse."""
HELD = 256
"""Clips kept aside to report letters wrong on."""
Spelling = dict[str, str]


def read_spelling(vocab: Path) -> Spelling:
    """American words with the spelling that the vocabulary uses."""
    tables = tomllib.loads((vocab / "spelling.toml").read_text(encoding="utf-8"))
    return dict(tables["american"])


def sounds(waves: Tensor, lengths: Tensor) -> tuple[Tensor, Tensor]:
    """The clips by other speakers, half of them with a room and noise."""
    if torch.rand(()).item() < 0.85:
        waves, lengths = another_speaker(waves, lengths)
    else:
        waves, lengths = resample(waves, lengths, torch.full_like(lengths, PACE, dtype=torch.float))
    waves = waves / active_level(waves) * 0.08
    if torch.rand(()).item() < 0.5:
        return levelled(microphone(waves, chance=0.5, telephone=0.1)), lengths
    waves = microphone(room(waves, chance=0.4))
    return levelled(noisy(waves, clean=0.2, low=2, high=28)), lengths


def states(model: Any, waves: Tensor, lengths: Tensor) -> tuple[Tensor, Tensor]:
    """The encoder's states and how many of them are each clip's own."""
    with torch.no_grad():
        attention = mask(model, waves, lengths)
        out = model.model.encoder(input_values=waves, attention_mask=attention)
    return out.last_hidden_state.float(), frames(lengths)[1]


def loss_of(logs: Tensor, own: Tensor, texts: Sequence[list[int]]) -> Tensor:
    """Mean loss a letter over the clips that have room for their letters."""
    device = logs.device
    letters = torch.tensor([each for text in texts for each in text], device=device)
    counts = torch.tensor([len(text) for text in texts], device=device)
    each = functional.ctc_loss(
        logs.transpose(0, 1), letters, own, counts, reduction="none", zero_infinity=True
    )
    fits = own > counts * 1.1 + 2
    spread = (logs.exp() * logs).sum(-1).mean()
    return (each / counts * fits).sum() / fits.sum() + UNSURE * spread


def heard(logs: Tensor, own: Tensor) -> list[str]:
    """The likeliest letters of each clip."""
    texts = []
    for row, count in zip(logs.argmax(-1).tolist(), own.tolist(), strict=True):
        best = row[:count]
        kept = [b for at, b in enumerate(best) if b and (at == 0 or b != best[at - 1])]
        texts.append(_letters(kept))
    return texts


def wrong(net: Letters, model: Any, clips: list[Clip], spelling: Spelling, device: str) -> float:
    """Share of letters wrong on clips as they are, by another microphone."""
    texts: list[str] = []
    for at in range(0, len(clips), 64):
        data = batch(clips[at : at + 64], random.Random(5), device)
        found, own = states(model, levelled(microphone(data.waves)), data.lengths)
        with torch.no_grad():
            texts += heard(net(found), own)
    return float(jiwer.cer([_letters(classes(clip.text, spelling)) for clip in clips], texts))


def _letters(found: Sequence[int]) -> str:
    return "".join(LETTERS[each - 1] for each in found)


def rate_at(share: float, step: int) -> float:
    """Learning rate after `share` of the time: a short rise, then down a half wave."""
    return RATE * min(1.0, step / WARM_UP) * max(0.02, 0.5 * (1 + math.cos(math.pi * share)))


def train(given: argparse.Namespace, device: str) -> Average:
    """Train until the time is up; gives the running mean of the weights."""
    rng = random.Random(1)
    torch.manual_seed(1)
    model = trainable(load(given.model), device).eval().requires_grad_(False)
    spelling = read_spelling(given.vocab)
    store = Store(given.clips)
    store.refresh()
    kept = _aside(store, rng)
    net = Letters(WIDTH, BLOCKS).to(device)
    rule, average = torch.optim.AdamW(net.parameters(), weight_decay=0.02), Average(net, KEEP)
    progress, told = Progress(given.seconds, given.report), 0
    while progress.share < 1:
        for part in store.batches(rng, given.batch, len(store.general) / len(store), 0.0):
            data = batch(part, rng, device)
            found, own = states(model, *sounds(data.waves, data.lengths))
            found = found + 0.03 * found.std() * torch.randn_like(found)
            texts = [classes(clip.text, spelling) for clip in part]
            loss = loss_of(net(functional.dropout(found, 0.05)), own, texts)
            descend(net, rule, loss, rate_at(progress.share, progress.step), longest=2.0)
            average.update()
            progress.note(loss, len(part), len(store))
            if progress.share >= 1:
                break
        if progress.step - told >= given.report:
            told = progress.step
            mean = of_weights(average.weights(), WIDTH, BLOCKS).to(device)
            print(f"letters wrong {wrong(mean, model, kept, spelling, device):.4f}", flush=True)
    return average


def _aside(store: Store, rng: random.Random) -> list[Clip]:
    """Take clips out of the store, of both kinds, to report on."""
    kept: list[Clip] = []
    for clips in (store.trade, store.general):
        rng.shuffle(clips)
        count = min(HELD // 2, len(clips) // 4)
        kept += clips[:count]
        del clips[:count]
    return kept


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("clips", type=Path)
    parser.add_argument("model", type=Path)
    parser.add_argument("out", type=Path)
    parser.add_argument("--vocab", type=Path, required=True)
    parser.add_argument("--seconds", type=float, default=500.0)
    parser.add_argument("--batch", type=int, default=128)
    parser.add_argument("--report", type=int, default=200)
    given = parser.parse_args()
    average = train(given, "cuda" if torch.cuda.is_available() else "cpu")
    np.savez(given.out, **average.weights())  # type: ignore[arg-type]


if __name__ == "__main__":
    main()
