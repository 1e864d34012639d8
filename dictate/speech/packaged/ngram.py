"""A word n-gram with classes: which words the trade says after which.

Order three, Witten-Bell smoothing (Witten and Bell, IEEE Trans. Inf. Theory 37(4), 1991).
Words of one class share their counts: a sentence never seen with "seventeen" is as likely
as with "twelve". A fine and a coarse division into classes are mixed.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import pairwise

import numpy as np
import numpy.typing as npt

Row = npt.NDArray[np.float32]
History = tuple[int, ...]
"""Classes of the words before, as the model that made it counts them."""
Ids = npt.NDArray[np.int64]
Probabilities = npt.NDArray[np.float64]

_BEGIN = 0
_END = 1
_SPECIAL = 2
_NEVER = 1e-30
_FINE_SHARE = 0.6


class NGram:
    """Log probabilities (natural logarithm) of words after a history, fine and coarse mixed.

    `fine` and `coarse` name the class of a word; words they lack are classes of their own.
    Words of one fine class must share their coarse class too.
    """

    def __init__(
        self,
        words: Sequence[str],
        sentences: Iterable[Sequence[str]],
        fine: Mapping[str, str],
        coarse: Mapping[str, str],
    ) -> None:
        self.words = tuple(words)
        number = {word: index for index, word in enumerate(self.words)}
        stream = [[number[w] for w in sentence if w in number] for sentence in sentences]
        self._fine = ClassNGram(self.words, stream, fine)
        self._coarse = ClassNGram(self.words, stream, coarse)
        self.start: History = self._fine.start + self._coarse.start

    def row(self, history: History) -> tuple[Row, float]:
        """Log probability of every word after `history`, and of the sentence's end."""
        fine, fine_end = self._fine.row(history[:2])
        coarse, coarse_end = self._coarse.row(history[2:])
        mixed = np.log(_FINE_SHARE * fine + (1 - _FINE_SHARE) * coarse)
        end = float(np.log(_FINE_SHARE * fine_end + (1 - _FINE_SHARE) * coarse_end))
        return mixed.astype(np.float32), end

    def after(self, history: History, word: int) -> History:
        """The history once `word` (its index) was said."""
        return self._fine.after(history[:2], word) + self._coarse.after(history[2:], word)


class ClassNGram:
    """Probabilities under one division of the words into classes."""

    def __init__(
        self, words: Sequence[str], stream: Sequence[Sequence[int]], classes: Mapping[str, str]
    ) -> None:
        self.start: History = (_BEGIN, _BEGIN)
        self._of_word, self._count = _class_numbers(words, classes)
        self._within = _within_class(stream, self._of_word)
        self._train(stream)

    def row(self, history: History) -> tuple[Probabilities, float]:
        """Probability of every word after `history`, and of the sentence's end."""
        first, second = history
        classes = self._bigrams.refine(self._unigram, second)
        classes = self._trigrams.refine(classes, first * self._count + second)
        return classes[self._of_word] * self._within, float(classes[_END])

    def after(self, history: History, word: int) -> History:
        return history[1], int(self._of_word[word])

    def _train(self, stream: Sequence[Sequence[int]]) -> None:
        tokens: list[int] = []
        class_of = self._of_word.tolist()
        for sentence in stream:
            tokens += [_BEGIN, _BEGIN, *[class_of[word] for word in sentence], _END]
        run = np.array(tokens, np.int64)
        real = run[2:] != _BEGIN
        first, second, here = run[:-2][real], run[1:-1][real], run[2:][real]
        self._unigram = _unigram(here, self._count)
        self._bigrams = _Order(second, here, self._count)
        self._trigrams = _Order(first * self._count + second, here, self._count)


def _unigram(here: Ids, count: int) -> Probabilities:
    """Share of each class, a little of it spread evenly over all, seen or not."""
    seen = np.bincount(here, minlength=count).astype(np.float64)
    kinds = max(1, int(np.count_nonzero(seen)))
    shares: Probabilities = (seen + kinds / (count - 1)) / (float(seen.sum()) + kinds)
    shares[_BEGIN] = _NEVER
    return shares


def _class_numbers(words: Sequence[str], classes: Mapping[str, str]) -> tuple[Ids, int]:
    numbers: dict[str, int] = {}
    of_word = [
        numbers.setdefault(f"<{classes[w]}>" if w in classes else w, len(numbers) + _SPECIAL)
        for w in words
    ]
    return np.array(of_word, np.int64), len(numbers) + _SPECIAL


def _within_class(stream: Sequence[Sequence[int]], of_word: Ids) -> Probabilities:
    """Probability of each word given its class, with one added to each count."""
    flat = np.array([word for sentence in stream for word in sentence], np.int64)
    counts = np.bincount(flat, minlength=len(of_word)) + 1.0
    totals = np.bincount(of_word, weights=counts)
    shares: Probabilities = counts / totals[of_word]
    return shares


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
