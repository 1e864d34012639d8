"""A word n-gram with classes: which words the trade says after which.

Order three, Witten-Bell smoothing (Witten and Bell, IEEE Trans. Inf. Theory 37(4), 1991).
Words of one class share their counts: a sentence never seen with "seventeen" is as likely
as with "twelve". A fine and a coarse division into classes are mixed.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, fields
from typing import Any

import numpy as np
import numpy.typing as npt

Row = npt.NDArray[np.float32]
History = tuple[int, ...]
"""Classes of the words before, as the model that made it counts them."""
Ids = npt.NDArray[np.int64]
Probabilities = npt.NDArray[np.float64]
Tables = dict[str, npt.NDArray[Any]]
"""Arrays by name, as they are kept in a file."""

_BEGIN = 0
_END = 1
_START: History = (_BEGIN, _BEGIN)
_SPECIAL = 2
_NEVER = 1e-30
_FINE_SHARE = 0.6
_FINE = "fine"
_COARSE = "coarse"
_OWN = ("of_word", "within", "unigram")
_ORDERS = ("bigrams", "trigrams")


class NGram:
    """Log probabilities (natural logarithm) of words after a history, fine and coarse mixed."""

    def __init__(self, words: Sequence[str], fine: ClassNGram, coarse: ClassNGram) -> None:
        self.words = tuple(words)
        self._fine = fine
        self._coarse = coarse
        self.start: History = _START + _START

    @classmethod
    def counted(
        cls,
        words: Sequence[str],
        sentences: Iterable[Sequence[str]],
        fine: Mapping[str, str],
        coarse: Mapping[str, str],
    ) -> NGram:
        """Learn from sentences; what they say that is not among `words` is passed over.

        `fine` and `coarse` name the class of a word; words they lack are classes of their own.
        Words of one fine class must share their coarse class too.
        """
        number = {word: index for index, word in enumerate(words)}
        stream = [[number[w] for w in sentence if w in number] for sentence in sentences]
        fine_counts, coarse_counts = (_counted(words, stream, each) for each in (fine, coarse))
        return cls(words, fine_counts, coarse_counts)

    @classmethod
    def kept(cls, tables: Mapping[str, npt.NDArray[Any]]) -> NGram:
        """The n-gram whose `tables` these are. Raises KeyError where some are missing."""
        words = tables["words"].tobytes().decode("ascii").split()
        fine, coarse = (ClassNGram.kept(tables, each) for each in (_FINE, _COARSE))
        return cls(words, fine, coarse)

    def tables(self) -> Tables:
        """All that it holds, to be kept."""
        words = np.frombuffer(" ".join(self.words).encode("ascii"), np.uint8)
        return {"words": words} | self._fine.tables(_FINE) | self._coarse.tables(_COARSE)

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


@dataclass(frozen=True, slots=True)
class Order:
    """One order of the n-gram: which classes follow each history, and how often."""

    keys: Ids
    """The histories seen, in ascending order."""
    starts: Ids
    """Where what follows each begins in `follow`; the last is the length of that."""
    follow: Ids
    seen: Ids

    def refine(self, lower: Probabilities, history: int) -> Probabilities:
        """Witten-Bell: of a history seen n times before k classes, k / (n + k) is the lower's."""
        at = int(np.searchsorted(self.keys, history))
        if at == len(self.keys) or self.keys[at] != history:
            return lower
        here = slice(int(self.starts[at]), int(self.starts[at + 1]))
        seen = self.seen[here]
        kinds = len(seen)
        total = float(seen.sum()) + kinds
        refined = lower * (kinds / total)
        refined[self.follow[here]] += seen / total
        return refined


@dataclass(frozen=True, slots=True)
class ClassNGram:
    """Probabilities under one division of the words into classes."""

    of_word: Ids
    within: Probabilities
    """Probability of each word given its class."""
    unigram: Probabilities
    bigrams: Order
    trigrams: Order

    def row(self, history: History) -> tuple[Probabilities, float]:
        """Probability of every word after `history`, and of the sentence's end."""
        first, second = history
        classes = self.bigrams.refine(self.unigram, second)
        classes = self.trigrams.refine(classes, first * len(self.unigram) + second)
        return classes[self.of_word] * self.within, float(classes[_END])

    def after(self, history: History, word: int) -> History:
        return history[1], int(self.of_word[word])

    def tables(self, name: str) -> Tables:
        """All its arrays, under names that begin with `name`."""
        own: Tables = {f"{name}.{each}": getattr(self, each) for each in _OWN}
        for order in _ORDERS:
            for each in fields(Order):
                own[f"{name}.{order}.{each.name}"] = getattr(getattr(self, order), each.name)
        return own

    @classmethod
    def kept(cls, tables: Mapping[str, npt.NDArray[Any]], name: str) -> ClassNGram:
        """The one whose `tables` these are."""
        of_word, within, unigram = (tables[f"{name}.{each}"] for each in _OWN)
        bigrams, trigrams = (
            Order(*(tables[f"{name}.{order}.{each.name}"] for each in fields(Order)))
            for order in _ORDERS
        )
        return cls(of_word, within, unigram, bigrams, trigrams)


def _counted(
    words: Sequence[str], stream: Sequence[Sequence[int]], classes: Mapping[str, str]
) -> ClassNGram:
    of_word, count = _class_numbers(words, classes)
    class_of = of_word.tolist()
    tokens: list[int] = []
    for sentence in stream:
        tokens += [*_START, *[class_of[word] for word in sentence], _END]
    run = np.array(tokens, np.int64)
    real = run[2:] != _BEGIN
    first, second, here = run[:-2][real], run[1:-1][real], run[2:][real]
    return ClassNGram(
        of_word,
        _within_class(stream, of_word),
        _unigram(here, count),
        _order(second, here, count),
        _order(first * count + second, here, count),
    )


def _order(history: Ids, here: Ids, classes: int) -> Order:
    pairs, seen = np.unique(history * classes + here, return_counts=True)
    keys, starts = np.unique(pairs // classes, return_index=True)
    return Order(keys, np.append(starts, len(pairs)), pairs % classes, seen)


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
