"""A second hearing of the same sound, letter by letter, where the model's folder has one.

The decoder writes words that often follow each other, and may write one that was not said. The
second hearing (`models/adapt/letters.py`) knows no words: it says which letter is heard in each of
the encoder's states. How well words fit it is found by the best path through their letters
(connectionist temporal classification, Graves and others, 2006).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt

from dictate.speech.packaged.network import Floats, Network
from dictate.speech.packaged.spelling import letters_of

LETTERS = " abcdefghijklmnopqrstuvwxyz"
"""Classes 1 to 27; class 0 is none."""
_CLASS = {letter: at for at, letter in enumerate(LETTERS, 1)}
_NEVER = -1e9
Words = Sequence[str]


@dataclass(frozen=True, slots=True)
class Fit:
    """How well some words fit the sound."""

    score: float
    """Log probability of the best path."""
    words: tuple[float, ...]
    """For each word, what a letter of it lacks against the letters heard; 0 at best."""


class HeardLetters:
    """The letters of one sound. `logs`: log probability of each class in each state."""

    def __init__(self, logs: Floats) -> None:
        self._logs = logs
        self._likeliest: Floats = logs.max(axis=1)

    @cached_property
    def text(self) -> str:
        """The likeliest letters."""
        best = self._logs.argmax(axis=1)
        kept = best[(best > 0) & np.append(True, best[1:] != best[:-1])]
        return "".join(LETTERS[each - 1] for each in kept.tolist()).strip()

    @property
    def best(self) -> float:
        """Log probability of the likeliest class in each state: no words fit better."""
        return float(self._likeliest.sum())

    def fits(self, readings: Sequence[Words]) -> list[Fit | None]:
        """How well each of some readings fits; None for one of more letters than are heard."""
        spelt = [_classes(words) for words in readings]
        short = [at for at, classes in enumerate(spelt) if 0 < len(classes) <= len(self._logs)]
        if not short:
            return [None] * len(readings)
        paths = _Paths(self._logs, [spelt[at] for at in short])
        found: list[Fit | None] = [None] * len(readings)
        for row, at in enumerate(short):
            score = float(paths.scores[row])
            if score > _NEVER / 2:
                lacking = paths.along(row) - self._likeliest
                found[at] = Fit(score, _by_word(lacking, paths.places[:, row], readings[at]))
        return found


def heard_letters(network: Network, states: Floats) -> HeardLetters | None:
    """The letters in the encoder's `states` (1, states, size); None without a second hearing."""
    logs = network.letters(states)
    return None if logs is None else HeardLetters(logs)


class _Paths:
    """Best paths through the letters of several readings at once, with none between letters."""

    def __init__(self, logs: Floats, spelt: Sequence[Sequence[int]]) -> None:
        self._logs = logs
        count, width = len(spelt), 2 * max(map(len, spelt)) + 1
        self._labels = np.zeros((count, width), np.intp)
        for row, classes in enumerate(spelt):
            self._labels[row, 1 : 2 * len(classes) : 2] = classes
        lasts = np.array([2 * len(classes) for classes in spelt])
        self.scores, backs = self._forth(lasts)
        self.places = self._back(backs, lasts)

    def along(self, row: int) -> Floats:
        """Log probability of what the row's path has in each state."""
        found: Floats = self._logs[
            np.arange(len(self._logs)), self._labels[row, self.places[:, row]]
        ]
        return found

    def _forth(self, lasts: npt.NDArray[np.intp]) -> tuple[Floats, npt.NDArray[np.int8]]:
        labels, logs = self._labels, self._logs
        count, width = labels.shape
        leap = np.full((count, width), _NEVER, np.float32)
        leap[:, 3::2] = np.where(labels[:, 3::2] != labels[:, 1:-2:2], 0.0, _NEVER)
        scores = np.full((count, width + 2), _NEVER, np.float32)
        scores[:, 2], scores[:, 3] = logs[0, 0], logs[0, labels[:, 1]]
        backs = np.zeros((len(logs), count, width), np.int8)
        for at in range(1, len(logs)):
            stay, step, jump = scores[:, 2:], scores[:, 1:-1], scores[:, :-2] + leap
            moved = step > stay
            best = np.where(moved, step, stay)
            jumped = jump > best
            backs[at] = np.where(jumped, 2, moved)
            scores[:, 2:] = np.where(jumped, jump, best) + logs[at][labels]
        self._rows = np.arange(count)
        self._silent = scores[self._rows, lasts + 2] >= scores[self._rows, lasts + 1]
        ends = np.where(self._silent, lasts + 2, lasts + 1)
        return scores[self._rows, ends], backs

    def _back(
        self, backs: npt.NDArray[np.int8], lasts: npt.NDArray[np.intp]
    ) -> npt.NDArray[np.intp]:
        """The place in each row's letters, in each state."""
        places = np.empty(backs.shape[:2], np.intp)
        now = np.where(self._silent, lasts, lasts - 1)
        for at in range(len(backs) - 1, -1, -1):
            places[at] = now
            now = now - backs[at, self._rows, now]
        return places


def _by_word(lacking: Floats, places: npt.NDArray[np.intp], words: Words) -> tuple[float, ...]:
    """What a letter of each word lacks, from just before its first to just after its last."""
    each: list[float] = []
    first = 1
    for word in words:
        letters = len(letters_of(word))
        last = first + 2 * max(0, letters - 1)
        within = (places >= first - 1) & (places <= last + 1)
        each.append(float(lacking[within].sum()) / max(1, letters) if letters else 0.0)
        first += 2 * letters + 2 if letters else 0
    return tuple(each)


def _classes(words: Words) -> list[int]:
    spelt = " ".join(filter(None, map(letters_of, words)))
    return [_CLASS[letter] for letter in spelt]
