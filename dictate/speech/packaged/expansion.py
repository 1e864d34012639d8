"""One step of a beam: which tokens may follow, and what each is worth."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from dictate.speech.packaged.network import Floats
from dictate.speech.packaged.ngram import History
from dictate.speech.packaged.outlook import Outlook
from dictate.speech.packaged.tokens import END, START
from dictate.speech.packaged.trie import Moves, SpellingTrie
from dictate.speech.packaged.weights import Weights

_REPEATS = 3


@dataclass(frozen=True, slots=True)
class Candidate:
    """A finished reading."""

    words: tuple[int, ...]
    """Numbers of the vocabulary's words."""
    marks: tuple[float, ...]
    """The network's log probability up to the end of each word."""
    acoustic: float
    language: float
    score: float


@dataclass(slots=True)
class Beam:
    """A reading under way."""

    row: int
    """Where the network's last step holds it."""
    token: int
    state: int
    words: tuple[int, ...]
    """Words finished; the one begun is in `state`."""
    marks: tuple[float, ...]
    history: History
    acoustic: float
    language: float
    score: float


class Expansion:
    """Scores are: network + language weight * n-gram (with its best outlook) + word bonus."""

    def __init__(self, trie: SpellingTrie, outlook: Outlook, weights: Weights) -> None:
        self._trie = trie
        self._outlook = outlook
        self._weights = weights

    def start(self) -> Beam:
        return Beam(0, START, self._trie.start, (), (), self._outlook.start, 0.0, 0.0, 0.0)

    def next(self, beam: Beam, logs: Floats) -> Iterator[Beam]:
        """The best continuations; `logs` has the log probability of each token."""
        for moves in self._trie.moves(beam.state):
            yield from self._move(beam, moves, moves.finished, logs)
        entry = self._trie.entry(beam.state)
        if entry is not None:
            for moves in self._trie.closing_moves():
                yield from self._move(beam, moves, (entry, *moves.finished), logs)

    def end(self, beam: Beam, logs: Floats) -> Candidate | None:
        """The reading that ends here; None in the middle of a word."""
        if not self._trie.may_end(beam.state):
            return None
        entry = self._trie.entry(beam.state)
        said = self._say(beam, () if entry is None else (entry,))
        if said is None:
            return None
        language = said.language + self._outlook.table(said.history).end
        acoustic = beam.acoustic + float(logs[END])
        score = acoustic + self._weights.language * language
        score += self._weights.word_bonus * len(said.words)
        return Candidate(said.words, said.marks, acoustic, language, score)

    def words_so_far(self, beam: Beam) -> tuple[int, ...]:
        """Its finished words, and the last one if it is spelt in full."""
        entry = self._trie.entry(beam.state)
        return beam.words if entry is None else (*beam.words, *self._outlook.words[entry])

    def letters(self, words: tuple[int, ...]) -> int:
        """Letters of these words together."""
        return sum(self._outlook.letters[word] for word in words)

    def _move(
        self, beam: Beam, moves: Moves, finished: tuple[int, ...], logs: Floats
    ) -> Iterator[Beam]:
        said = self._say(beam, finished)
        if said is None:
            return
        weights = self._weights
        acoustic = logs[moves.tokens]
        ahead = weights.language * self._outlook.table(said.history).best(moves.low, moves.high)
        gains = acoustic + ahead
        keep = min(weights.beam, len(gains))
        base = beam.acoustic + weights.language * said.language
        for index in np.argpartition(-gains, keep - 1)[:keep].tolist():
            state = int(moves.states[index])
            begun = len(said.words) + (0 < state < self._trie.start)
            yield Beam(
                row=beam.row,
                token=int(moves.tokens[index]),
                state=state,
                words=said.words,
                marks=said.marks,
                history=said.history,
                acoustic=beam.acoustic + float(acoustic[index]),
                language=said.language,
                score=base + float(gains[index]) + weights.word_bonus * begun,
            )

    def _say(self, beam: Beam, entries: tuple[int, ...]) -> _Said | None:
        """The beam's words with these entries behind them; None for a loop."""
        if not entries:
            return _Said(beam.words, beam.marks, beam.history, beam.language)
        words, language, history = beam.words, beam.language, beam.history
        for entry in entries:
            cost, history = self._outlook.finish(history, entry)
            language += cost
            words = (*words, *self._outlook.words[entry])
        if _loops(words):
            return None
        marks = (*beam.marks, *[beam.acoustic] * (len(words) - len(beam.words)))
        return _Said(words, marks, history, language)


@dataclass(frozen=True, slots=True)
class _Said:
    words: tuple[int, ...]
    marks: tuple[float, ...]
    history: History
    language: float


def _loops(words: tuple[int, ...]) -> bool:
    """True if one to three words come three times in a row, which no dictation has."""
    return any(
        words[-_REPEATS * size :] == words[-size:] * _REPEATS
        for size in (1, 2, 3)
        if len(words) >= _REPEATS * size
    )
