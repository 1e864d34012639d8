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
from dictate.speech.packaged.unknown import UnknownWords
from dictate.speech.packaged.weights import Weights

_REPEATS = 3


@dataclass(frozen=True, slots=True)
class Candidate:
    """A finished reading."""

    words: tuple[str, ...]
    marks: tuple[float, ...]
    """The network's log probability up to the end of each word."""
    acoustic: float
    language: float
    score: float
    unknown: int = 0
    """How many of the words are none of the vocabulary."""


@dataclass(frozen=True, slots=True)
class Said:
    """The finished words of a reading."""

    words: tuple[str, ...]
    marks: tuple[float, ...]
    history: History
    language: float
    unknown: int = 0


@dataclass(slots=True)
class Beam:
    """A reading under way."""

    row: int
    """Where the network's last step holds it."""
    token: int
    state: int
    said: Said
    spelt: str
    """The word begun, when it is none of the vocabulary."""
    acoustic: float
    score: float


class Expansion:
    """Scores are: network + language weight * n-gram (with its best outlook) + word bonus.

    A word outside the vocabulary may be spelt freely at a cost, so that it need not be forced
    into a word that was not said.
    """

    def __init__(
        self, trie: SpellingTrie, outlook: Outlook, unknown: UnknownWords, weights: Weights
    ) -> None:
        self._trie = trie
        self._outlook = outlook
        self._unknown = unknown
        self._weights = weights

    def start(self) -> Beam:
        nothing = Said((), (), self._outlook.start, 0.0)
        return Beam(0, START, self._trie.start, nothing, "", 0.0, 0.0)

    def next(self, beam: Beam, logs: Floats) -> Iterator[Beam]:
        """The best continuations; `logs` has the log probability of each token."""
        for moves in self._trie.moves(beam.state):
            yield from self._move(beam, beam.said, moves, logs)
        closed = self._closed(beam)
        if closed is None:
            return
        if closed is not beam.said:
            for moves in self._trie.closing_moves():
                yield from self._move(beam, closed, moves, logs)
        if self._weights.unknown is not None:
            yield from self._spell(beam, closed, logs, self._weights.unknown)

    def end(self, beam: Beam, logs: Floats) -> Candidate | None:
        """The reading that ends here; None in the middle of a word."""
        said = self._closed(beam)
        if said is None:
            return None
        language = said.language + self._outlook.table(said.history).end
        acoustic = beam.acoustic + float(logs[END])
        score = acoustic + self._weights.language * language + self._worth(said)
        return Candidate(said.words, said.marks, acoustic, language, score, said.unknown)

    def words_so_far(self, beam: Beam) -> tuple[str, ...]:
        """Its finished words, and the last one if it is spelt in full."""
        said = self._closed(beam)
        return beam.said.words if said is None else said.words

    def _closed(self, beam: Beam) -> Said | None:
        """What is said when the word under way ends here; None if it cannot, or in a loop."""
        said = beam.said
        if beam.spelt:
            words = (*said.words, self._unknown.word(beam.spelt))
            marks = (*said.marks, beam.acoustic)
            if _loops(words):
                return None
            return Said(words, marks, said.history, said.language, said.unknown + 1)
        entry = self._trie.entry(beam.state)
        if entry is not None:
            return self._say(beam, said, (entry,))
        return said if self._trie.between_words(beam.state) else None

    def _move(self, beam: Beam, said: Said, moves: Moves, logs: Floats) -> Iterator[Beam]:
        after = self._say(beam, said, moves.finished)
        if after is None:
            return
        weights = self._weights
        acoustic = logs[moves.tokens]
        ahead = weights.language * self._outlook.table(after.history).best(moves.low, moves.high)
        gains = acoustic + ahead
        keep = min(weights.beam, len(gains))
        base = beam.acoustic + weights.language * after.language + self._worth(after)
        for index in np.argpartition(-gains, keep - 1)[:keep].tolist():
            state = int(moves.states[index])
            begun = 0.0 if self._trie.between_words(state) else weights.word_bonus
            yield Beam(
                row=beam.row,
                token=int(moves.tokens[index]),
                state=state,
                said=after,
                spelt="",
                acoustic=beam.acoustic + float(acoustic[index]),
                score=base + float(gains[index]) + begun,
            )

    def _spell(self, beam: Beam, closed: Said, logs: Floats, cost: float) -> Iterator[Beam]:
        """Go on with an unknown word, and begin one where a word may begin."""
        if beam.spelt:
            for token in self._unknown.more(logs):
                yield self._spelt(beam, beam.said, token, beam.spelt, cost, logs)
        for token in self._unknown.first(logs):
            yield self._spelt(beam, closed, token, "", cost, logs)

    def _spelt(
        self, beam: Beam, said: Said, token: int, before: str, cost: float, logs: Floats
    ) -> Beam:
        weights = self._weights
        acoustic = beam.acoustic + float(logs[token])
        score = acoustic + weights.language * said.language + self._worth(said)
        score += weights.word_bonus - cost
        spelt = before + self._unknown.pieces[token]
        return Beam(beam.row, token, self._trie.unknown, said, spelt, acoustic, score)

    def _worth(self, said: Said) -> float:
        """The bonus for its words, less the cost of those that are unknown."""
        weights = self._weights
        return weights.word_bonus * len(said.words) - (weights.unknown or 0.0) * said.unknown

    def _say(self, beam: Beam, said: Said, entries: tuple[int, ...]) -> Said | None:
        """With these entries behind what was said; None for a loop."""
        if not entries:
            return said
        words, language, history = said.words, said.language, said.history
        for entry in entries:
            cost, history = self._outlook.finish(history, entry)
            language += cost
            words = (*words, *self._outlook.meaning(entry))
        if _loops(words):
            return None
        marks = (*said.marks, *[beam.acoustic] * (len(words) - len(said.words)))
        return Said(words, marks, history, language, said.unknown)


def _loops(words: tuple[str, ...]) -> bool:
    """True if one to three words come three times in a row, which no dictation has."""
    return any(
        words[-_REPEATS * size :] == words[-size:] * _REPEATS
        for size in (1, 2, 3)
        if len(words) >= _REPEATS * size
    )
