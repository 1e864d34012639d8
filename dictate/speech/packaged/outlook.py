"""What the n-gram says of words not yet finished: the best that can still come."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Mapping

import numpy as np
import numpy.typing as npt

from dictate.speech.packaged.ngram import History, NGram, Row
from dictate.speech.packaged.trie import Ids, SpellingTrie

_KEPT = 128
"""Histories whose tables are kept: some 18 MB with 3,000 spellings; more are not reached for."""


class Table:
    """Log probabilities of the spellings after one history, and maxima over ranges of them."""

    def __init__(self, spellings: Row, end: float) -> None:
        self.end = end
        self._levels = _maxima(spellings)

    def best(self, low: Ids, high: Ids) -> npt.NDArray[np.float32]:
        """The highest log probability in each range low <= spelling < high (never empty)."""
        length = high - low
        level = np.frexp(length)[1] - 1
        found: npt.NDArray[np.float32] = np.maximum(
            self._levels[level, low], self._levels[level, high - (1 << level)]
        )
        return found


class Outlook:
    """Tables by history, and the exact cost of a finished spelling."""

    def __init__(
        self, ngram: NGram, trie: SpellingTrie, meanings: Mapping[str, tuple[str, ...]]
    ) -> None:
        self._ngram = ngram
        number = {word: index for index, word in enumerate(ngram.words)}
        self._meanings = [meanings[entry] for entry in trie.entries]
        self._words = [[number[word] for word in meaning] for meaning in self._meanings]
        self._first = np.array([words[0] for words in self._words], np.int64)
        self._tables: OrderedDict[History, Table] = OrderedDict()
        self._rows: OrderedDict[History, tuple[Row, float]] = OrderedDict()

    @property
    def start(self) -> History:
        return self._ngram.start

    def meaning(self, entry: int) -> tuple[str, ...]:
        """The words that an entry of the trie stands for."""
        return self._meanings[entry]

    def table(self, history: History) -> Table:
        """The table after `history`, made once while it stays in use."""
        table = self._tables.pop(history, None)
        if table is None:
            row, end = self._row(history)
            table = Table(row[self._first], end)
        self._tables[history] = table
        if len(self._tables) > _KEPT:
            self._tables.popitem(last=False)
        return table

    def finish(self, history: History, entry: int) -> tuple[float, History]:
        """Log probability of an entry's words after `history`, and the history they leave."""
        total = 0.0
        for word in self._words[entry]:
            total += float(self._row(history)[0][word])
            history = self._ngram.after(history, word)
        return total, history

    def _row(self, history: History) -> tuple[Row, float]:
        row = self._rows.pop(history, None)
        if row is None:
            row = self._ngram.row(history)
        self._rows[history] = row
        if len(self._rows) > _KEPT:
            self._rows.popitem(last=False)
        return row


def _maxima(values: Row) -> npt.NDArray[np.float32]:
    """Row k holds the maximum of each 2**k neighbours from that index on."""
    levels = [values]
    width = 1
    while width * 2 <= len(values):
        last = levels[-1]
        wider = last.copy()
        wider[: len(values) - width] = np.maximum(last[:-width], last[width:])
        levels.append(wider)
        width *= 2
    return np.stack(levels)
