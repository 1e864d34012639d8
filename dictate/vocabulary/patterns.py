"""Longer ways to say a command, written as patterns: "(undo|cancel) [the] last (entry|change)".

They are understood when they come, but are too many to be listened for one by one, so they are
no phrases of the lexicon: engines and sound-alikes know the forms in `say` alone.
"""

from __future__ import annotations

from collections.abc import Iterator

from dictate.vocabulary.schema import Lexicon
from dictate.vocabulary.templates import expanded


def command_patterns(
    lexicon: Lexicon, *, review_only: bool = False
) -> Iterator[tuple[tuple[str, ...], str]]:
    """Every form of every pattern in the lexicon's spelling, with its command.

    `review_only`: those that are commands only in the confirmation pass, instead of the others.
    """
    other_spellings = lexicon.spelling.american.keys()
    fold = lexicon.spelling.fold
    for command in lexicon.commands:
        for pattern in command.review_patterns if review_only else command.patterns:
            for words in expanded(pattern):
                same = other_spellings.isdisjoint(words)
                yield words if same else tuple(map(fold, words)), command.value
