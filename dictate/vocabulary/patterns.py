"""Longer ways to say a command, written as patterns: "(undo|cancel) [the] last (entry|change)".

They are understood when they come, but are too many to be listened for one by one, so they are
no phrases of the lexicon: engines and sound-alikes know the forms in `say` alone.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from itertools import chain

from dictate.errors import VocabularyError
from dictate.vocabulary.schema import CommandTerm, Lexicon
from dictate.vocabulary.templates import Either, Sequence, Word, parse_template

Words = tuple[str, ...]


def command_patterns(lexicon: Lexicon, *, review_only: bool = False) -> Iterator[tuple[Words, str]]:
    """Every form of every pattern in the lexicon's spelling, with its command.

    `review_only`: those that are commands only in the confirmation pass, instead of the others.
    Raises VocabularyError for a pattern that cannot be read.
    """
    fold = lexicon.spelling.fold
    for command in lexicon.commands:
        for pattern in command.review_patterns if review_only else command.patterns:
            for words in _forms(command, pattern):
                yield tuple(map(fold, words)), command.value


def _forms(command: CommandTerm, pattern: str) -> tuple[Words, ...]:
    try:
        return expanded(pattern)
    except ValueError as error:
        raise VocabularyError(
            f"commands.toml: {command.value}: pattern {pattern!r}: {error}"
        ) from None


@cache
def expanded(pattern: str) -> tuple[Words, ...]:
    """Every run of words that a pattern stands for; ValueError says what is wrong with it."""
    return tuple(dict.fromkeys(words for words in _ways(parse_template(pattern)) if words))


def _ways(nodes: Sequence) -> list[Words]:
    ways: list[Words] = [()]
    for node in nodes:
        if isinstance(node, Word):
            ways = [(*way, node.text) for way in ways]
        elif isinstance(node, Either):
            ends = list(chain.from_iterable(map(_ways, node.options)))
            ways = [(*way, *end) for way in ways for end in ends]
        else:
            raise ValueError("only words, (this|that) and [this] may stand in it")
    return ways
