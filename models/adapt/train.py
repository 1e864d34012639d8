"""Fine-tune the model on the clips; ordinary speech is held by the original's own judgement.

    python -m adapt.train CLIPS ORIGINAL.npz OUT.npz --seconds 500 [--from CHECKPOINT.npz]

The learning rate falls to nothing over the given seconds, so a training of any length ends well;
it is continued from its last checkpoint by --from. What is written are weights averaged over the
last steps.
"""

from __future__ import annotations

import argparse
import time
from pathlib import Path
from random import Random
from typing import Any

import torch
from torch import Tensor
from torch.nn import functional

from adapt.augment import another_speaker, heavily, lightly, noisy
from adapt.clips import IGNORED, Batch, Store, batch
from adapt.network import greedy, logits, trainable, weights_of
from adapt.rebuild import Weights, load, save
from adapt.scoring import word_error_rate
from adapt.tokens import Tokeniser


def loss_of(model: Any, teacher: Any, data: Batch, given: argparse.Namespace) -> Tensor:
    """Cross-entropy, and for all but dictation the distance to what the original says of it.

    A share of the general clips and all real ones are left easy to understand: there the model
    shall do what the original does. Of the real ones nothing else is asked: what the original
    heard in them is no transcript. Dictation is made hard.
    """
    held = data.general | data.real
    with torch.no_grad():
        waves, lengths = data.waves, data.lengths
        if torch.rand(()).item() >= given.as_is:
            waves, lengths = another_speaker(waves, lengths)
        light = lightly(waves)
        chance = torch.rand(len(waves), device=waves.device)
        easy = data.real | (data.general & (chance < given.easy))
        waves = torch.where(easy[:, None], light, heavily(waves))
    said = logits(model, waves, lengths, data.given).float()
    tokens = (data.wanted != IGNORED).sum()
    wanted = data.wanted.masked_fill(data.real[:, None], IGNORED)
    entropy = functional.cross_entropy(
        said.transpose(1, 2), wanted, ignore_index=IGNORED, reduction="sum"
    )
    if not bool(held.any()):
        return entropy / tokens
    with torch.no_grad():
        judged = logits(teacher, light[held], lengths[held], data.given[held])
    valid = data.wanted[held] != IGNORED
    weight = torch.where(data.real[held], given.hold, given.distil)[:, None].expand_as(valid)[valid]
    ours = said[held][valid].log_softmax(-1)
    apart = functional.kl_div(ours, judged[valid].float().softmax(-1), reduction="none").sum(-1)
    return (entropy + (apart * weight).sum()) / tokens


def rate_at(share: float, step: int, peak: float) -> float:
    """Learning rate after `share` of the time: a short rise, then straight down."""
    return peak * min(1.0, (step + 1) / 150) * max(0.0, 1 - share)


class Average:
    """Exponentially averaged weights, which generalise better than the last ones."""

    def __init__(self, model: Any, keep: float) -> None:
        self._keep, self._steps = keep, 0
        self._model = model
        self.values = [each.detach().clone() for each in model.parameters()]

    def update(self) -> None:
        """Take in the model's present weights."""
        self._steps += 1
        keep = min(self._keep, self._steps / (self._steps + 10))
        torch._foreach_lerp_(self.values, [p.detach() for p in self._model.parameters()], 1 - keep)

    def weights(self) -> Weights:
        """The average as arrays; the model itself is left as it was."""
        present = [each.detach().clone() for each in self._model.parameters()]
        self._put(self.values)
        found = weights_of(self._model)
        self._put(present)
        return found

    def _put(self, values: list[Tensor]) -> None:
        with torch.no_grad():
            for parameter, value in zip(self._model.parameters(), values, strict=True):
                parameter.copy_(value)


def judge(weights: Weights, store: Store, tokeniser: Tokeniser, device: str) -> str:
    """Word error rates on the held-out clips, by kind of text, clean and in noise."""
    model, out = trainable(weights, device).eval(), []
    for kind, clips in (("trade", store.trade), ("general", store.general)):
        for noise in (None, 10.0, 5.0):
            heard: list[str] = []
            for at in range(0, len(clips), 64):
                data = batch(clips[at : at + 64], Random(7), device, margin=4_000)
                torch.manual_seed(7)
                waves = data.waves if noise is None else noisy(data.waves, 0.0, noise, noise)
                heard += map(tokeniser.decode, greedy(model, waves, data.lengths))
            error = word_error_rate([clip.text for clip in clips], heard)
            out.append(f"{kind} {noise or 'clean'} {error:.3f}")
    return ", ".join(out)


class Progress:
    """Time, steps and loss of a training, with a line to the log every so many steps."""

    def __init__(self, seconds: float, report: int) -> None:
        self._began, self._seconds, self._report = time.monotonic(), seconds, report
        self.step, self._seen, self._total = 0, 0, torch.zeros(())

    @property
    def share(self) -> float:
        """How much of the time is gone; 1 and more: all of it."""
        return (time.monotonic() - self._began) / self._seconds

    def note(self, loss: Tensor, clips: int, stored: int) -> None:
        """Count a step."""
        self.step, self._seen = self.step + 1, self._seen + clips
        self._total = self._total.to(loss.device) + loss.detach()
        if self.step % self._report == 0:
            mean, spent = float(self._total) / self._report, self.share * self._seconds
            print(f"step {self.step} loss {mean:.3f} stored {stored} seen {self._seen} "
                  f"time {spent:.0f}", flush=True)  # fmt: skip
            self._total = torch.zeros(())


def optimiser_of(model: Any, rate: float) -> torch.optim.Optimizer:
    """AdamW; norms and biases are not decayed."""
    decaying = [each for each in model.parameters() if each.ndim > 1]
    plain = [each for each in model.parameters() if each.ndim <= 1]
    groups = [{"params": decaying, "weight_decay": 0.01}, {"params": plain, "weight_decay": 0.0}]
    return torch.optim.AdamW(groups, lr=rate, betas=(0.9, 0.98))


def descend(
    model: Any, optimiser: torch.optim.Optimizer, loss: Tensor, rate: float, longest: float = 1.0
) -> None:
    """One step down the gradient, which is cut to `longest`."""
    for group in optimiser.param_groups:
        group["lr"] = rate
    optimiser.zero_grad(set_to_none=True)
    loss.backward()
    torch.nn.utils.clip_grad_norm_(model.parameters(), longest)
    optimiser.step()


def train(given: argparse.Namespace, device: str) -> Average:
    """The loop: until the time is up."""
    rng = Random(given.seed)
    torch.manual_seed(given.seed)
    original = load(given.original)
    model = trainable(load(given.start) if given.start else original, device).train()
    teacher = trainable(original, device).eval().requires_grad_(False)
    store, average = Store(given.clips), Average(model, given.average)
    optimiser = optimiser_of(model, given.rate)
    while store.refresh() < given.enough:
        time.sleep(1)
    progress = Progress(given.seconds, given.report)
    while progress.share < 1:
        store.refresh(at_most=12)
        for clips in store.batches(rng, given.batch, given.general, given.real):
            with torch.autocast(device, torch.bfloat16, enabled=device == "cuda"):
                loss = loss_of(model, teacher, batch(clips, rng, device), given)
            descend(model, optimiser, loss, rate_at(progress.share, progress.step, given.rate))
            average.update()
            progress.note(loss, len(clips), len(store))
            if progress.share >= 1:
                break
    return average


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("clips", type=Path)
    parser.add_argument("original", type=Path)
    parser.add_argument("out", type=Path)
    parser.add_argument("--from", dest="start", type=Path)
    parser.add_argument("--dev", type=Path, help="held-out clips, to judge by")
    parser.add_argument("--tokeniser", type=Path)
    parser.add_argument("--seconds", type=float, default=500)
    parser.add_argument("--enough", type=int, default=1_000, help="clips to begin with")
    parser.add_argument("--batch", type=int, default=96)
    parser.add_argument("--rate", type=float, default=1e-4)
    parser.add_argument("--general", type=float, default=0.3, help="share of general clips")
    parser.add_argument("--real", type=float, default=0.25, help="share of real clips")
    parser.add_argument("--distil", type=float, default=2.0, help="weight on general clips")
    parser.add_argument("--hold", type=float, default=4.0, help="weight on real clips")
    parser.add_argument("--as-is", type=float, default=0.25, help="share of batches not varied")
    parser.add_argument("--easy", type=float, default=0.6, help="share of general clips")
    parser.add_argument("--average", type=float, default=0.998)
    parser.add_argument("--report", type=int, default=100, help="steps from line to line")
    parser.add_argument("--seed", type=int, default=1)
    given = parser.parse_args()
    torch.set_float32_matmul_precision("high")
    device = "cuda" if torch.cuda.is_available() else "cpu"
    average = train(given, device)
    save(average.weights(), given.out)
    if given.dev:
        dev = Store(given.dev)
        dev.refresh()
        tokeniser = Tokeniser(given.tokeniser)
        print("held out:", judge(load(given.out), dev, tokeniser, device), flush=True)


if __name__ == "__main__":
    main()
