"""Whole utterances that are a form of a spoken command: what a dialog can be told."""

from __future__ import annotations

from dictate.matching.text import Speller
from dictate.speech.heard import Utterance
from dictate.vocabulary.schema import Lexicon, Slot


class SpokenForms:
    """Only exact forms count: nothing said to a dialog is taken by its likeness."""

    def __init__(self, lexicon: Lexicon) -> None:
        self._speller = Speller.of(lexicon)
        self._values = {
            phrase.words: str(phrase.value)
            for phrase in lexicon.phrases
            if phrase.slot is Slot.COMMAND
        }

    def value(self, utterance: Utterance) -> str | None:
        """The command that all the words are a form of ("confirm" for "yes"), None if none."""
        words = tuple(token.text for token in self._speller.tokens(utterance.words))
        return self._values.get(words)
