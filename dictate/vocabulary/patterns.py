"""Longer ways to say a command, written as patterns: "(undo|cancel) [the] last (entry|change)".

They are understood when they come, but are too many to be listened for one by one, so they are
no phrases of the lexicon: engines and sound-alikes know the forms in `say` alone.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

from dictate.vocabulary.schema import Lexicon
from dictate.vocabulary.templates import expanded

Kept = Literal["patterns", "review_patterns", "paused_patterns"]
EVER: tuple[Kept, ...] = ("patterns", "review_patterns")
"""Where ways to say a command are kept that a dialog may take."""


def command_patterns(
    lexicon: Lexicon, kept: Kept = "patterns"
) -> Iterator[tuple[tuple[str, ...], str]]:
    """Every form of every pattern in the lexicon's spelling, with its command.

    `kept`: where the patterns are kept, which tells when they are commands.
    """
    other_spellings = lexicon.spelling.american.keys()
    fold = lexicon.spelling.fold
    for command in lexicon.commands:
        patterns: tuple[str, ...] = getattr(command, kept)
        for pattern in patterns:
            for words in expanded(pattern):
                same = other_spellings.isdisjoint(words)
                yield words if same else tuple(map(fold, words)), command.value
