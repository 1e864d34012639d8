"""A word n-gram with classes: which words the trade says after which.

Order three, Witten-Bell smoothing. Words of one class (numbers, for one) share their
counts, so that a sentence never seen with "seventeen" is as likely as with "twelve".
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import pairwise

import numpy as np
import numpy.typing as npt

Row = npt.NDArray[np.float32]
History = tuple[int, int]
"""Classes of the two words before; `BEGIN` before the first."""

BEGIN = 0
END = 1
_SPECIAL = 2
_NEVER = 1e-30
Ids = npt.NDArray[np.int64]
Probabilities = npt.NDArray[np.float64]


class NGram:
    """Log probabilities of words (natural logarithm) after a history."""

    def __init__(
        self,
        words: Sequence[str],
        sentences: Iterable[Sequence[str]],
        classes: Mapping[str, str] | None = None,
    ) -> None:
        self.words = tuple(words)
        self.start: History = (BEGIN, BEGIN)
        self._word_class, self._class_count = _class_numbers(self.words, classes or {})
        number = {word: index for index, word in enumerate(self.words)}
        stream = [[number[w] for w in sentence if w in number] for sentence in sentences]
        self._within = _within_class(stream, self._word_class)
        self._train(stream)

    def row(self, history: History) -> tuple[Row, float]:
        """Log probability of every word after `history`, and of the sentence's end."""
        first, second = history
        classes = self._bigrams.refine(self._unigram, second)
        classes = self._trigrams.refine(classes, first * self._class_count + second)
        logs = np.log(classes)
        return (logs[self._word_class] + self._within).astype(np.float32), float(logs[END])

    def after(self, history: History, word: int) -> History:
        """The history once `word` (its index) was said."""
        return history[1], int(self._word_class[word])

    def _train(self, stream: list[list[int]]) -> None:
        count = self._class_count
        tokens: list[int] = []
        for sentence in stream:
            tokens += [BEGIN, BEGIN, *self._word_class[sentence].tolist(), END]
        run = np.array(tokens, np.int64)
        here = run[2:]
        real = here != BEGIN
        second, first = run[1:-1][real], run[:-2][real]
        here = here[real]
        self._bigrams = _Order(second, here, count)
        self._trigrams = _Order(first * count + second, here, count)
        self._unigram = _unigram(here, count)


def _unigram(here: Ids, count: int) -> Probabilities:
    """Share of each class, a little of it spread evenly over all, seen or not."""
    seen = np.bincount(here, minlength=count).astype(np.float64)
    kinds = max(1, int(np.count_nonzero(seen)))
    shares: Probabilities = (seen + kinds / (count - 1)) / (float(seen.sum()) + kinds)
    shares[BEGIN] = _NEVER
    return shares


def _class_numbers(
    words: tuple[str, ...], classes: Mapping[str, str]
) -> tuple[npt.NDArray[np.int64], int]:
    numbers: dict[str, int] = {}
    of_word = [
        numbers.setdefault(f"<{classes[w]}>" if w in classes else w, len(numbers) + _SPECIAL)
        for w in words
    ]
    return np.array(of_word, np.int64), len(numbers) + _SPECIAL


def _within_class(stream: list[list[int]], word_class: npt.NDArray[np.int64]) -> Row:
    """Log probability of each word given its class, with one added to each count."""
    flat = np.array([word for sentence in stream for word in sentence], np.int64)
    counts = np.bincount(flat, minlength=len(word_class)) + 1.0
    totals = np.bincount(word_class, weights=counts)
    return np.log(counts / totals[word_class]).astype(np.float32)


class _Order:
    """One order of the n-gram: which classes follow each history, and how often."""

    def __init__(self, history: Ids, here: Ids, classes: int) -> None:
        pairs, self._seen = np.unique(history * classes + here, return_counts=True)
        self._follow = pairs % classes
        keys, starts = np.unique(pairs // classes, return_index=True)
        bounds = [*starts.tolist(), len(pairs)]
        self._range = dict(zip(keys.tolist(), pairwise(bounds), strict=True))

    def refine(self, lower: Probabilities, history: int) -> Probabilities:
        """Witten-Bell: of a history seen n times before k classes, k / (n + k) is the lower's."""
        known = self._range.get(history)
        if known is None:
            return lower
        seen = self._seen[slice(*known)]
        kinds = len(seen)
        total = float(seen.sum()) + kinds
        refined = lower * (kinds / total)
        refined[self._follow[slice(*known)]] += seen / total
        return refined
