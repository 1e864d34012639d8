"""Train the second hearing (`adapt.letters`) on what the finished encoder makes of the clips.

    python -m adapt.train_letters CLIPS MODEL.npz OUT.npz --vocab ../vocab --seconds 500

MODEL.npz holds the weights of the model that is helped (`adapt.rebuild WORK MODEL_DIR`); they do
not change. Texts are spelt as the vocabulary spells.
"""

from __future__ import annotations

import argparse
import math
import random
import re
import time
import tomllib
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

import numpy as np
import torch
from torch import Tensor, nn
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
from adapt.letters import LETTERS, Letters, classes
from adapt.network import frames, mask, trainable
from adapt.rebuild import load

PACE = 0.94
"""Speed at which the engine gives sound to the network (`bias.toml`)."""
RATE, WARM_UP = 2e-3, 300
UNSURE = 0.15
"""Worth of spread in what is heard: surer networks told right from wrong words worse."""
HELD = 256
"""Clips kept aside to report letters wrong on."""
Spelling = dict[str, str]


def read_spelling(vocab: Path) -> Spelling:
    """American words with the spelling that the vocabulary uses."""
    tables = tomllib.loads((vocab / "spelling.toml").read_text(encoding="utf-8"))
    return dict(tables["american"])


def wanted(text: str, spelling: Spelling) -> list[int]:
    """Classes of a text's letters."""
    words = re.sub("[^a-z ]", " ", text.lower().replace("'", "")).split()
    return classes(" ".join(spelling.get(word, word) for word in words))


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
        texts.append("".join(LETTERS[each - 1] for each in kept))
    return texts


def pools(clips: list[Clip], rng: random.Random, size: int) -> Iterator[list[Clip]]:
    """Batches of clips of like length, without end."""
    while True:
        pool = sorted(rng.choices(clips, k=size * 16), key=lambda clip: len(clip.samples))
        groups = [pool[at : at + size] for at in range(0, len(pool), size)]
        rng.shuffle(groups)
        yield from groups


def wrong(net: Letters, model: Any, clips: list[Clip], spelling: Spelling, device: str) -> float:
    """Share of letters wrong on clips as they are, by another microphone."""
    from rapidfuzz.distance import Levenshtein

    errors = total = 0
    for at in range(0, len(clips), 64):
        part = clips[at : at + 64]
        data = batch(part, random.Random(5), device)
        found, own = states(model, levelled(microphone(data.waves)), data.lengths)
        with torch.no_grad():
            texts = heard(net(found), own)
        for clip, text in zip(part, texts, strict=True):
            said = "".join(LETTERS[each - 1] for each in wanted(clip.text, spelling))
            errors += Levenshtein.distance(said, text)
            total += len(said)
    return errors / total


def train(given: argparse.Namespace, device: str) -> None:
    """Train for the time given, and write the running mean of the weights."""
    rng = random.Random(1)
    torch.manual_seed(1)
    model = trainable(load(given.model), device).eval().requires_grad_(False)
    spelling = read_spelling(given.vocab)
    store = Store(given.clips)
    store.refresh()
    clips = store.trade + store.general
    rng.shuffle(clips)
    kept, clips = clips[:HELD], clips[HELD:]
    net, mean = Letters().to(device), Letters().to(device)
    mean.load_state_dict(net.state_dict())
    rule = torch.optim.AdamW(net.parameters(), lr=RATE, weight_decay=0.02)
    begun, told = time.monotonic(), 0.0
    for step, part in enumerate(pools(clips, rng, given.batch)):
        gone = time.monotonic() - begun
        if gone > given.seconds:
            break
        for group in rule.param_groups:
            fall = max(0.02, 0.5 * (1 + math.cos(math.pi * gone / given.seconds)))
            group["lr"] = RATE * min(1.0, step / WARM_UP) * fall
        data = batch(part, rng, device)
        found, own = states(model, *sounds(data.waves, data.lengths))
        found = found + 0.03 * found.std() * torch.randn_like(found)
        texts = [wanted(clip.text, spelling) for clip in part]
        loss = loss_of(net(functional.dropout(found, 0.05)), own, texts)
        rule.zero_grad()
        loss.backward()  # type: ignore[no-untyped-call]
        nn.utils.clip_grad_norm_(net.parameters(), 2.0)
        rule.step()
        with torch.no_grad():
            share = 1 - min(0.999, (1 + step) / (20 + step))
            for kept_weight, weight in zip(mean.parameters(), net.parameters(), strict=True):
                kept_weight.lerp_(weight, share)
        if gone - told > 60:
            told = gone
            lost = wrong(mean, model, kept, spelling, device)
            print(f"{gone:.0f} s, {step} steps, loss {loss.item():.3f}, letters wrong {lost:.4f}")
    arrays = {name: value.cpu().numpy() for name, value in mean.state_dict().items()}
    np.savez(given.out, **arrays)  # type: ignore[arg-type]


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("clips", type=Path)
    parser.add_argument("model", type=Path)
    parser.add_argument("out", type=Path)
    parser.add_argument("--vocab", type=Path, required=True)
    parser.add_argument("--seconds", type=float, default=500.0)
    parser.add_argument("--batch", type=int, default=128)
    given = parser.parse_args()
    train(given, "cuda" if torch.cuda.is_available() else "cpu")


if __name__ == "__main__":
    main()
