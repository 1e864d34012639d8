"""The spoken command nearest to a sound, for short speech in which no command was heard.

A command is a whole utterance of a few hundred that can be, so a second search held to just
these knows "undo that" where the first wrote "and do that". What the decoder and the letters of
the second hearing say of each is weighed together.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from rapidfuzz import fuzz, process

from dictate.speech.packaged.free import FreeReading, log_softmax
from dictate.speech.packaged.letters import HeardLetters
from dictate.speech.packaged.network import Decoding, Floats
from dictate.speech.packaged.spelling import spoken_letters
from dictate.speech.packaged.tokens import END, START, Tokenizer
from dictate.speech.packaged.trie import SpellingTrie
from dictate.speech.packaged.weights import Weights
from dictate.vocabulary.schema import Lexicon, Slot

Words = tuple[str, ...]
_LONGEST = 14
"""Tokens of the free reading beyond which nobody gave a bare command."""
_PATHS = 16
_UNHEARD = 13.0
"""What a command lacks in the decoder's hearing that the second alone has heard."""
_ALIKE = 12
"""Commands like the letters of the second hearing that are looked at."""
_LEAD = 3.0
"""What a command's letters fit better than those of other words from which it was said instead. Of
630 short clips of other speech, by voices and people that no network was trained on, none is near
and fits better at all."""
_NEVER = -1e9
_ABSENT = 60.0
"""What a command lacks in the second hearing that has more letters than were heard."""
_ONE_WORD = 0.5
"""Of what a longer command may lack: many words are like a single one ("papa", "pause")."""
_LETTERS = (0.6, 1.7)
"""Letters of a command against those of the free reading: "no" is not "neck normal"."""


@dataclass(slots=True)
class _Path:
    """A command begun."""

    row: int
    token: int
    state: int
    words: Words
    acoustic: float


@dataclass(frozen=True, slots=True)
class Near:
    """A command near to a sound."""

    words: Words
    instead: bool
    """Its letters fit the sound clearly better than those of the words heard."""


class NearestCommand:
    """Searches the sound for the commands of a lexicon that take no value."""

    def __init__(
        self,
        lexicon: Lexicon,
        tokenizer: Tokenizer,
        weights: Weights,
        lacking: tuple[float, float],
    ) -> None:
        """`lacking` is `Weights.command`, which is there."""
        self._commands = _bare_commands(lexicon)
        self._begun = {words[:end] for words in self._commands for end in range(len(words) + 1)}
        spellings = sorted({word for words in self._commands for word in words})
        self._trie = SpellingTrie(spellings, tokenizer.pieces)
        self._tokenizer = tokenizer
        self._lacking = lacking
        self._weights = weights
        self._joined = {words: " ".join(words) for words in self._commands}

    def find(
        self,
        sound: Decoding,
        free: FreeReading,
        heard: Words,
        letters: HeardLetters | None = None,
    ) -> Near | None:
        """The nearest command; None where what was `heard` is one, or none is near.

        Near is: hardly less likely than the free reading, clearly likelier than any other
        command, and about as long.
        """
        if not free.whole or len(free.tokens) > _LONGEST or heard in self._commands:
            return None
        constant, each = self._lacking
        allowed = min(self._weights.command_most, constant + each * len(free.tokens))
        lacks = self._lacks(sound, free, allowed, letters)
        if not lacks:
            return None
        best = min(lacks, key=lambda words: lacks[words])
        if lacks[best] > (allowed * _ONE_WORD if len(best) == 1 else allowed):
            return None
        others = [v for w, v in lacks.items() if self._commands[w] != self._commands[best]]
        clear = all(other - lacks[best] >= self._weights.command_margin for other in others)
        if not (clear and self._as_long(best, free)):
            return None
        return Near(best, letters is not None and _instead(letters, best, heard))

    def _lacks(
        self, sound: Decoding, free: FreeReading, allowed: float, letters: HeardLetters | None
    ) -> dict[Words, float]:
        """What commands lack against the best that was heard, as far as they may be near."""
        share = self._weights.command_letters
        if letters is None or not share:
            found = self._search(sound, free.acoustic - allowed)
            return {words: free.acoustic - acoustic for words, acoustic in found.items()}
        alike = process.extract(letters.text, self._joined, scorer=fuzz.ratio, limit=_ALIKE)
        lacks = _by_letters(letters, [words for _, _, words in alike], share)
        if min(lacks.values()) > allowed:
            return {}  # Sound like no command: it need not be searched for any.
        found = self._search(sound, free.acoustic - _UNHEARD)
        lacks |= _by_letters(letters, sorted(found.keys() - lacks.keys()), share)
        return {
            words: lack + min(_UNHEARD, free.acoustic - found.get(words, _NEVER))
            for words, lack in lacks.items()
        }

    def _search(self, sound: Decoding, least: float) -> dict[Words, float]:
        """Commands with their log probability, as far as it is at least `least`."""
        done: dict[Words, float] = {}
        paths = [_Path(0, START, self._trie.start, (), 0.0)]
        logits, cache = sound.begin([START])
        for _ in range(2 * _LONGEST):
            logs = log_softmax(logits)
            for path in paths:
                self._end(path, logs[path.row], done)
            paths = self._advance(paths, logs, least)
            if not paths:
                break
            rows = [path.row for path in paths]
            logits, cache = sound.step([path.token for path in paths], cache.pick(rows))
            for row, path in enumerate(paths):
                path.row = row
        return {words: acoustic for words, acoustic in done.items() if acoustic >= least}

    def _advance(self, paths: list[_Path], logs: Floats, least: float) -> list[_Path]:
        found: dict[tuple[Words, int], _Path] = {}
        for path in paths:
            for new in self._next(path, logs[path.row], least):
                key = (new.words, new.state)
                if key not in found or new.acoustic > found[key].acoustic:
                    found[key] = new
        return sorted(found.values(), key=lambda path: -path.acoustic)[:_PATHS]

    def _next(self, path: _Path, logs: Floats, least: float) -> Iterator[_Path]:
        closed = self._closed(path)
        ways = [(path.words, moves) for moves in self._trie.moves(path.state)]
        if closed is not None and closed != path.words:
            ways += [(closed, moves) for moves in self._trie.closing_moves()]
        for words, moves in ways:
            said = (*words, *(self._trie.entries[entry] for entry in moves.finished))
            if said not in self._begun:
                continue
            acoustic = path.acoustic + logs[moves.tokens]
            for index in np.flatnonzero(acoustic >= least).tolist():
                token, state = int(moves.tokens[index]), int(moves.states[index])
                yield _Path(path.row, token, state, said, float(acoustic[index]))

    def _end(self, path: _Path, logs: Floats, done: dict[Words, float]) -> None:
        words = self._closed(path)
        if words in self._commands:
            acoustic = path.acoustic + float(logs[END])
            done[words] = max(acoustic, done.get(words, acoustic))

    def _closed(self, path: _Path) -> Words | None:
        """The words when the one under way ends here; None in the middle of it."""
        entry = self._trie.entry(path.state)
        if entry is not None:
            words = (*path.words, self._trie.entries[entry])
            return words if words in self._begun else None
        return path.words if self._trie.between_words(path.state) else None

    def _as_long(self, words: Words, free: FreeReading) -> bool:
        heard = max(1, spoken_letters(self._tokenizer.text(free.tokens)))
        low, high = _LETTERS
        return low <= sum(map(len, words)) / heard <= high


def _by_letters(
    letters: HeardLetters, commands: Sequence[Words], share: float
) -> dict[Words, float]:
    """What commands lack in the second hearing, of which `share` counts."""
    return {
        words: share * (_ABSENT if fit is None else letters.best - fit.score)
        for words, fit in zip(commands, letters.fits(commands), strict=True)
    }


def _instead(letters: HeardLetters, command: Words, heard: Words) -> bool:
    said, other = letters.fits([command, heard])
    return said is not None and (other is None or said.score - other.score >= _LEAD)


def _bare_commands(lexicon: Lexicon) -> dict[Words, str]:
    bare = {command.value for command in lexicon.commands if command.takes == "nothing"}
    return {
        phrase.words: str(phrase.value)
        for phrase in lexicon.phrases
        if phrase.slot is Slot.COMMAND and phrase.value in bare
    }
