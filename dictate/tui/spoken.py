"""Whole utterances that mean something to a screen: commands, numbers, words of the vocabulary."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

from dictate.exam.finding import FieldValue
from dictate.matching.text import Speller
from dictate.matching.thresholds import WEAK_WORD
from dictate.speech.heard import Utterance
from dictate.tui.desk import Desk
from dictate.vocabulary.patterns import EVER, command_patterns
from dictate.vocabulary.schema import Lexicon, Phrase, Slot


@dataclass(frozen=True, slots=True)
class Said:
    """An utterance as a screen is told of it. Only whole utterances and exact forms count."""

    utterance: Utterance
    words: tuple[str, ...]
    """As the vocabulary spells them."""
    value: str | None = None
    """The command that all the words are a form of ("confirm" for "yes")."""
    number: int | None = None
    """Of "row three" or "option three"."""
    terms: tuple[Phrase, ...] = ()
    """Phrases of the vocabulary, commands apart, that all the words are."""

    @property
    def sure(self) -> bool:
        """False if a word was heard so badly that nothing may be lost on the strength of it."""
        return all(word.confidence >= WEAK_WORD for word in self.utterance.words)

    def term(self, *slots: Slot) -> Phrase | None:
        """The phrase of one of these slots that the words are."""
        return next((each for each in self.terms if each.slot in slots), None)


class SpokenForms:
    """Only exact forms count: nothing said to a dialog is taken by its likeness."""

    def __init__(self, lexicon: Lexicon) -> None:
        self._speller = Speller.of(lexicon)
        self._values: dict[tuple[str, ...], str] = {}
        self._terms: dict[tuple[str, ...], list[Phrase]] = defaultdict(list)
        sides = {each.words for each in lexicon.phrases if each.slot is Slot.SIDE}
        for phrase in lexicon.phrases:
            if phrase.slot is Slot.COMMAND:
                if phrase.words in sides:
                    continue  # “right” may mean yes or a side, and a side is never guessed
                self._values[phrase.words] = str(phrase.value)
            elif not (phrase.vague or phrase.misheard):
                self._terms[phrase.words].append(phrase)
        for kept in EVER:
            for words, value in command_patterns(lexicon, kept):
                self._values.setdefault(words, value)

    def words(self, utterance: Utterance) -> tuple[str, ...]:
        """As the vocabulary spells them."""
        return tuple(token.text for token in self._speller.tokens(utterance.words))

    def value(self, utterance: Utterance) -> str | None:
        """The command that all the words are a form of ("confirm" for "yes"), None if none."""
        return self._values.get(self.words(utterance))

    def said(self, utterance: Utterance, number: int | None) -> Said:
        """All that the words mean by themselves; `number`: of a row, if they name one."""
        words = self.words(utterance)
        terms = tuple(self._terms.get(words, ()))
        return Said(utterance, words, self._values.get(words), number, terms)


def spoken_value(desk: Desk, field: str, said: Said) -> FieldValue:
    """What the words are as a value of the field, read as after "correct"; None for nothing."""
    named = next(
        (each for each in desk.lexicon.phrases if (each.slot, each.value) == (Slot.FIELD, field)),
        None,
    )
    if named is None:
        return None
    change = desk.examination.as_value(("correct", *named.words), said.utterance)
    return change.value if change is not None and change.field == field else None
