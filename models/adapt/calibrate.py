"""Fit how sure the program is of what a model heard: `confidence` and `dictation` of bias.toml.

    python -m adapt.calibrate MODEL_DIR CACHE      prints the lines for MODEL_DIR/bias.toml

Logistic regression on development clips alone, clean and at 10 dB: of each word of the best
reading, whether it stands in what was said; of each clip, whether it was dictation or talk.
Needs the project's benchmark (extra `bench`).
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from dataclasses import dataclass, field
from difflib import SequenceMatcher
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize

from dictate.bench.options import Options
from dictate.bench.words import plain
from dictate.bench.work import Worker, tasks
from dictate.speech.heard import Utterance
from dictate.speech.packaged import readings

CONDITIONS = ("clean", "suction-10", "whine-10", "babble-10")
NOISY_SHARE = 0.34
RIDGE = 1.0
Terms = tuple[float, ...]


@dataclass
class Examples:
    """Terms of the logit, and whether it was so."""

    terms: list[Terms] = field(default_factory=list)
    labels: list[bool] = field(default_factory=list)

    def add(self, terms: Sequence[Terms], labels: Sequence[bool]) -> None:
        """Take in more."""
        self.terms += terms
        self.labels += labels


class Tap:
    """Notes what the logistic function of `readings` is asked."""

    def __init__(self) -> None:
        self.asked: list[Terms] = []
        self._chance = readings._chance
        readings._chance = self._noting

    def _noting(self, factors: Sequence[float], terms: Sequence[float]) -> float:
        self.asked.append(tuple(terms))
        return self._chance(factors, terms)


def right(said: Sequence[str], text: Sequence[str]) -> list[bool]:
    """For each word of the text, whether it stands where it was said."""
    found = [False] * len(text)
    for block in SequenceMatcher(None, text, said, autojunk=False).get_matching_blocks():
        for at in range(block.a, block.a + block.size):
            found[at] = True
    return found


def fit(terms: Sequence[Terms], labels: Sequence[bool]) -> NDArray[np.float64]:
    """Factors of the logit; a ridge on all but the constant, and none may turn its sense."""
    x, y = np.array(terms), np.array(labels, float)

    def loss(factors: NDArray[np.float64]) -> float:
        logit = x @ factors
        fault = np.logaddexp(0, logit) - y * logit
        return float(fault.sum() + RIDGE * (factors[1:] ** 2).sum())

    bounds = [(None, None), *[(0.0, None)] * (x.shape[1] - 1)]
    return np.asarray(minimize(loss, np.ones(x.shape[1]), bounds=bounds).x)


def best_reading(utterance: Utterance) -> list[str]:
    """The words of the best reading held to the vocabulary; talk, put before it, is passed over."""
    held = [each for each in utterance.hypotheses if each.text != utterance.free_text]
    return (held or list(utterance.hypotheses))[0].text.split()


def collect(model: str, cache: Path) -> tuple[Examples, Examples]:
    """Examples of words and of clips."""
    options = Options(split="dev", conditions=CONDITIONS, noisy_share=NOISY_SHARE, cache=cache)
    worker, tap, words, clips = Worker(model, options), Tap(), Examples(), Examples()
    for task in tasks(options):
        tap.asked.clear()
        utterance = worker.chain.listen(worker.sound(task))
        if utterance is None or not tap.asked:
            continue
        talk = task.sentence.kind == "offtalk"
        clips.add([tap.asked[-1]], [not talk])
        if not talk:
            text = best_reading(utterance)
            said = plain(task.sentence.say, worker.chain.lexicon.spelling).split()
            words.add(tap.asked[: len(text)], right(said, text))
    return words, clips


def main() -> None:
    words, clips = collect(f"packaged:{sys.argv[1]}", Path(sys.argv[2]))
    for name, examples in (("confidence", words), ("dictation", clips)):
        factors = fit(examples.terms, examples.labels)
        print(f"{name} = [{', '.join(f'{each:.2f}' for each in factors[:4])}]")
        for each in factors[4:]:
            print(f"# second number of letters: {each:.2f}")
        print(f"# from {len(examples.labels)} examples, {np.mean(examples.labels):.3f} true")


if __name__ == "__main__":
    main()
