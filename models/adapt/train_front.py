"""Train the help in noise (`adapt.front`) through the frozen speech model.

    python -m adapt.train_front CLIPS MODEL.npz OUT.npz --seconds 400 [--from HELP.npz]

MODEL.npz holds the weights of the model that is helped (`adapt.rebuild WORK MODEL_DIR`). They do
not change: what is asked for is that the model hears noisy sound as it hears the same sound
without noise, and the true text of all synthetic clips.
"""

from __future__ import annotations

import argparse
import time
from pathlib import Path
from random import Random
from typing import Any

import numpy as np
import torch
from torch import Tensor
from torch.nn import functional

from adapt.augment import active_level, another_speaker, levelled, microphone, noisy, room
from adapt.clips import IGNORED, Batch, Store, batch
from adapt.front import Help, cleaned, spectrum
from adapt.network import frames, greedy, mask, trainable
from adapt.rebuild import load
from adapt.scoring import word_error_rate
from adapt.surgery import in_surgery
from adapt.tokens import Tokeniser
from adapt.train import Average, Progress, descend, rate_at


def attach(help_: Help, model: Any) -> None:
    """Let `help_` mend the encoder's states wherever `model.helped` is set."""

    def mended(module: Any, given: Any, states: Tensor) -> Tensor:
        return help_.mend(states.float()).to(states.dtype) if model.helped else states

    model.helped = False
    model.model.encoder.layer_norm.register_forward_hook(mended)


def heard(model: Any, waves: Tensor, lengths: Tensor, given: Tensor) -> tuple[Tensor, Tensor]:
    """What the model makes of the sound: the encoder's states, and logits."""
    attention = mask(model, waves, lengths)
    out = model(input_values=waves, attention_mask=attention, decoder_input_ids=given)
    return out.encoder_last_hidden_state.float(), out.logits.float()


def sounds(data: Batch, given: argparse.Namespace) -> tuple[Tensor, Tensor, Tensor, Tensor]:
    """Clean sound, the same in a room, the same with noise (all at one level), and lengths."""
    waves, lengths = data.waves, data.lengths
    if torch.rand(()).item() >= given.as_is:
        waves, lengths = another_speaker(waves, lengths)
    clean = microphone(waves / active_level(waves) * 0.08, chance=0.5, telephone=0.08)
    wet = room(clean, chance=0.3)
    mixed, _ = in_surgery(wet, clean, given.clean, given.low, given.high)
    loud = levelled(mixed)
    gain = loud.abs().amax(1, keepdim=True) / mixed.abs().amax(1, keepdim=True).clamp(min=1e-4)
    return clean * gain, wet * gain, loud, lengths


def apart_in_sound(factors: Tensor, mixed: Tensor, wet: Tensor) -> Tensor:
    """How far what the factors leave is from the speech, magnitudes compressed."""
    with torch.autocast(mixed.device.type, enabled=False):
        wanted = spectrum(wet).abs()
        scale = wanted.square().mean((1, 2), keepdim=True).sqrt().clamp(min=1e-5)
        left = factors * mixed.abs()
        return ((left / scale + 1e-4) ** 0.3 - (wanted / scale + 1e-4) ** 0.3).square().mean()


def loss_of(
    help_: Help, model: Any, data: Batch, given: argparse.Namespace, share: float
) -> Tensor:
    """Cross-entropy of true texts, distance to what the model makes of the clean sound."""
    with torch.no_grad():
        clean, wet, mixed, lengths = sounds(data, given)
        want_states, judged = heard(model, clean, lengths, data.given)
    waves, factors, before = cleaned(help_.front, mixed, lengths)
    model.helped = True
    states, said = heard(model, waves, lengths, data.given)
    model.helped = False
    valid = data.wanted != IGNORED
    wanted = data.wanted.masked_fill(data.real[:, None], IGNORED)
    entropy = functional.cross_entropy(
        said.transpose(1, 2), wanted, ignore_index=IGNORED, reduction="sum"
    )
    ours = said[valid].log_softmax(-1)
    each = functional.kl_div(ours, judged[valid].softmax(-1), reduction="none").sum(1)
    weight = torch.where(data.real, given.hold, given.distil)[:, None].expand_as(valid)[valid]
    apart = (each * weight).sum()
    own = torch.arange(states.shape[1], device=states.device)[None] < frames(lengths)[1][:, None]
    off = (states - want_states).square().mean(2)[own].mean() / want_states[own].square().mean()
    total = (entropy + apart) / valid.sum() + given.states * off
    weight = given.spectral * max(0.0, 1 - share / 0.4)
    return total + weight * apart_in_sound(factors, before, wet) if weight else total


def judge(help_: Help | None, model: Any, store: Store, tokeniser: Tokeniser, device: str) -> str:
    """Word error rates on the held-out clips, by kind of text and noise, help never held back."""
    out, model.helped = [], help_ is not None
    kinds = ("clean", "white 10", "white 5", "surgery 10", "surgery 5")
    for name, clips in (("trade", store.trade), ("general", store.general)):
        for kind in kinds if name == "trade" else kinds[:2]:
            texts: list[str] = []
            for at in range(0, len(clips), 64):
                data = batch(clips[at : at + 64], Random(7), device, margin=4_000)
                torch.manual_seed(7)
                waves, level = data.waves, float(kind.split()[-1]) if " " in kind else 0.0
                if kind.startswith("white"):
                    waves = noisy(waves, 0.0, level, level)
                elif kind.startswith("surgery"):
                    waves = in_surgery(waves, waves, 0.0, level, level)[0]
                if help_ is not None:
                    with torch.no_grad():
                        waves = cleaned(help_.front, waves, data.lengths)[0]
                texts += map(tokeniser.decode, greedy(model, waves, data.lengths))
            error = word_error_rate([clip.text for clip in clips], texts)
            out.append(f"{name} {kind} {error:.3f}")
    return ", ".join(out)


def train(given: argparse.Namespace, help_: Help, model: Any, device: str) -> Average:
    """The loop: until the time is up."""
    rng = Random(given.seed)
    torch.manual_seed(given.seed)
    store, average = Store(given.clips), Average(help_, given.average)
    optimiser = torch.optim.AdamW(help_.parameters(), lr=given.rate, weight_decay=0.0)
    while store.refresh() < given.enough:
        time.sleep(1)
    progress = Progress(given.seconds, given.report)
    while progress.share < 1:
        store.refresh(at_most=12)
        for clips in store.batches(rng, given.batch, given.general, given.real):
            with torch.autocast(device, torch.bfloat16, enabled=device == "cuda"):
                data = batch(clips, rng, device)
                loss = loss_of(help_, model, data, given, progress.share)
            descend(help_, optimiser, loss, rate_at(progress.share, progress.step, given.rate))
            average.update()
            progress.note(loss, len(clips), len(store))
            if progress.share >= 1:
                break
    return average


def read_help(path: Path, device: str = "cpu") -> Help:
    """Trained help."""
    help_ = Help()
    with np.load(path) as stored:
        help_.load_state_dict({name: torch.from_numpy(stored[name]) for name in stored.files})
    return help_.to(device).eval()


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("clips", type=Path)
    parser.add_argument("model", type=Path)
    parser.add_argument("out", type=Path)
    parser.add_argument("--from", dest="start", type=Path)
    parser.add_argument("--dev", type=Path, help="held-out clips, to judge by")
    parser.add_argument("--tokeniser", type=Path)
    parser.add_argument("--seconds", type=float, default=500)
    parser.add_argument("--enough", type=int, default=1_000, help="clips to begin with")
    parser.add_argument("--batch", type=int, default=64)
    parser.add_argument("--rate", type=float, default=2e-3)
    parser.add_argument("--general", type=float, default=0.2, help="share of general clips")
    parser.add_argument("--real", type=float, default=0.15, help="share of real clips")
    parser.add_argument("--distil", type=float, default=1.0, help="weight of the model's words")
    parser.add_argument("--hold", type=float, default=3.0, help="the same, of real clips")
    parser.add_argument("--states", type=float, default=2.0, help="weight of the encoder's states")
    parser.add_argument("--spectral", type=float, default=5.0, help="weight of sound, at first")
    parser.add_argument("--clean", type=float, default=0.15, help="share of clips without noise")
    parser.add_argument("--low", type=float, default=-2.0, help="dB of speech over noise")
    parser.add_argument("--high", type=float, default=22.0)
    parser.add_argument("--as-is", type=float, default=0.3, help="share of batches not varied")
    parser.add_argument("--average", type=float, default=0.998)
    parser.add_argument("--report", type=int, default=100, help="steps from line to line")
    parser.add_argument("--seed", type=int, default=1)
    given = parser.parse_args()
    torch.set_float32_matmul_precision("high")
    device = "cuda" if torch.cuda.is_available() else "cpu"
    model = trainable(load(given.model), device).eval().requires_grad_(False)
    help_ = (read_help(given.start) if given.start else Help()).to(device)
    attach(help_, model)
    print(sum(each.numel() for each in help_.parameters()), "weights to train", flush=True)
    weights = train(given, help_, model, device).weights()
    np.savez(given.out, **weights)  # type: ignore[arg-type]
    if given.dev:
        dev = Store(given.dev)
        dev.refresh()
        tokeniser = Tokeniser(given.tokeniser)
        print("without:", judge(None, model, dev, tokeniser, device), flush=True)
        help_.load_state_dict(read_help(given.out).state_dict())
        print("with:", judge(help_, model, dev, tokeniser, device), flush=True)


if __name__ == "__main__":
    main()
