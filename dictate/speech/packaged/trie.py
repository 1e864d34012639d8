"""Which tokens may follow, so that the text stays a run of known spellings.

The trie of spellings, letter by letter, is walked together with the trie of the
tokenizer's pieces. Capitals and punctuation between words are free; a hyphen is a space.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np
import numpy.typing as npt

PUNCTUATION = frozenset(",.;:?!")
Ids = npt.NDArray[np.int64]
_Found = dict[tuple[int, ...], list[tuple[int, int]]]
"""Entries finished -> tokens that finish just these, each with the state it leads to."""


@dataclass(frozen=True, slots=True)
class Moves:
    """Tokens that finish the same entries, and the states they lead to."""

    finished: tuple[int, ...]
    """Entries (indices of `SpellingTrie.entries`) that such a token completes, in order."""
    tokens: Ids
    states: Ids
    low: Ids
    high: Ids
    """Entries that can still come in the word begun: low <= entry < high."""


@dataclass(slots=True)
class _Node:
    children: dict[str, int] = field(default_factory=dict)
    entry: int | None = None
    low: int = 0
    high: int = 0


class SpellingTrie:
    """States are numbers: trie nodes (0 is "a word starts here"), `start` and `after`."""

    def __init__(self, entries: Sequence[str], pieces: Sequence[str]) -> None:
        self.entries = tuple(sorted(set(entries)))
        self._nodes = _nodes(self.entries)
        self._pieces, self._tokens = _sorted_pieces(tuple(pieces))
        self.start = len(self._nodes)
        """Before the first word: a leading space is free."""
        self.after = self.start + 1
        """Behind punctuation: the word is finished, the next one needs a space."""
        self.unknown = self.after + 1
        """Inside a word that is no entry; the trie has no moves of its own there."""
        self._closing = self.unknown + 1
        self._moves: dict[int, tuple[Moves, ...]] = {}

    def entry(self, state: int) -> int | None:
        """The entry that the word so far spells in full, or None."""
        return self._nodes[state].entry if state < self.start else None

    def between_words(self, state: int) -> bool:
        """True if no word is under way."""
        return state in (0, self.start, self.after)

    def moves(self, state: int) -> tuple[Moves, ...]:
        """Tokens that go on with the word of this state (none crosses into the next word)."""
        if state not in self._moves:
            self._moves[state] = tuple(self._walk_from(state))
        return self._moves[state]

    def closing_moves(self) -> tuple[Moves, ...]:
        """Tokens that close a finished word, the same for every word; `finished` lacks it."""
        return self.moves(self._closing)

    def warm(self) -> None:
        """Find the moves that every utterance needs, so that the first is no slower."""
        self.moves(self.start)
        self.closing_moves()

    def _walk_from(self, state: int) -> Iterator[Moves]:
        found: _Found = {}
        self._walk(range(len(self._pieces)), 0, state, (), found)
        for finished, reached in found.items():
            tokens, states = zip(*reached, strict=True)
            spans = [self._span(each) for each in states]
            yield Moves(
                finished,
                np.array(tokens, np.int64),
                np.array(states, np.int64),
                np.array([low for low, _ in spans], np.int64),
                np.array([high for _, high in spans], np.int64),
            )

    def _walk(
        self, among: range, depth: int, state: int, finished: tuple[int, ...], found: _Found
    ) -> None:
        """Follow the pieces `among` (alike in their first `depth` letters) from a state on."""
        at = among.start
        while at < among.stop and len(self._pieces[at]) == depth:
            found.setdefault(finished, []).append((self._tokens[at], state))
            at += 1
        while at < among.stop:
            letter = self._pieces[at][depth]
            end = bisect_right(self._pieces, letter, at, among.stop, key=lambda p: p[depth])
            for reached, ended in self._steps(state, letter, inside=depth > 0):
                done = finished if ended is None else (*finished, ended)
                self._walk(range(at, end), depth + 1, reached, done, found)
            at = end

    def _steps(self, state: int, letter: str, inside: bool) -> Iterator[tuple[int, int | None]]:
        """States one letter on, each with the entry that the letter ended (or None)."""
        if state == self.unknown:
            return
        if state in (self._closing, self.after):
            if letter == " " or (letter == "-" and state == self._closing):
                yield 0, None
            elif letter in PUNCTUATION:
                yield self.after, None
            return
        if state == self.start:
            if letter == " ":
                yield 0, None
                return
            state = 0
        node = self._nodes[state]
        if letter in node.children:
            yield node.children[letter], None
        # A piece that begins by closing the word is among the closing moves.
        if inside and node.entry is not None:
            if letter in " -":
                yield 0, node.entry
            elif letter in PUNCTUATION:
                yield self.after, node.entry

    def _span(self, state: int) -> tuple[int, int]:
        node = self._nodes[state if state < self.start else 0]
        return node.low, node.high


def _nodes(entries: tuple[str, ...]) -> list[_Node]:
    """Nodes of the trie; sorted entries below a node are a range of indices."""
    nodes = [_Node(high=len(entries))]
    for index, entry in enumerate(entries):
        at = 0
        for letter in entry:
            if letter not in nodes[at].children:
                nodes[at].children[letter] = len(nodes)
                nodes.append(_Node(low=index))
            at = nodes[at].children[letter]
            nodes[at].high = index + 1
        nodes[at].entry = index
    return nodes


@lru_cache(maxsize=1)
def _sorted_pieces(pieces: tuple[str, ...]) -> tuple[list[str], list[int]]:
    """Pieces in lower case and in order, which is a trie too, and their tokens."""
    usable = sorted(
        (piece.lower(), token) for token, piece in enumerate(pieces) if piece and piece.isascii()
    )
    return [piece for piece, _ in usable], [token for _, token in usable]
