"""Dictation sentences to learn word order from."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from dictate.speech.packaged.spelling import LARGEST, in_words
from dictate.vocabulary.schema import Lexicon, Slot
from dictate.vocabulary.sentences import NUMBER, WORD, Tagged, sentences
from dictate.vocabulary.utterances import utterances

COUNT = 5000
_SEED = 1
_OF_THEIR_OWN = frozenset({WORD, NUMBER, Slot.FILLER, Slot.COMMAND})
"""Classes whose words do not stand for each other: "undo that" tells nothing of "do that"."""
_COMMANDS = 14
"""How often more than other phrases the forms of commands count: they are said alone, and often.
Of 866 bare commands by development voices 842 are obeyed then, 841 at 8, and "undo that" is not
written "and do that"; dictations by other hands become 3 to 5 % more perplexing."""
_ROWS = 20
"""Rows of a list that are named by their numbers."""


@dataclass(frozen=True, slots=True)
class Corpus:
    """Sentences in British spelling, and what most often is the class of each word."""

    sentences: tuple[tuple[str, ...], ...]
    classes: dict[str, str]


def corpus(lexicon: Lexicon) -> Corpus:
    """Sentences over the lexicon, made anew."""
    return from_tagged(sentences(lexicon, _SEED, COUNT), lexicon, utterances())


def from_tagged(
    tagged: Iterable[Tagged], lexicon: Lexicon, said: Iterable[Sequence[str]] = ()
) -> Corpus:
    """Sentences whose words carry their class, utterances as said, the lexicon's phrases, and
    bare numbers."""
    labels: defaultdict[str, Counter[str]] = defaultdict(Counter)
    found: list[tuple[str, ...]] = []
    for sentence in tagged:
        words = tuple(lexicon.spelling.fold(word) for word in sentence.words)
        for word, label in zip(words, sentence.labels, strict=True):
            labels[word][label] += 1
        found.append(words)
    found += [tuple(lexicon.spelling.fold(word) for word in each) for each in said]
    phrases = [phrase for phrase in lexicon.phrases if not phrase.misheard]
    found += [phrase.words for phrase in phrases]
    found += [phrase.words for phrase in phrases if phrase.slot is Slot.COMMAND] * _COMMANDS
    found += [in_words(number) for number in range(LARGEST + 1)]
    found += _identifiers()
    found += _numbered(lexicon)
    usual = {word: counts.most_common(1)[0][0] for word, counts in labels.items()}
    return Corpus(tuple(found), {word: at for word, at in usual.items() if at not in _OF_THEIR_OWN})


def _identifiers() -> Iterable[tuple[str, ...]]:
    """How the digits of a patient's identifier are said."""
    for digit in range(1, 10):
        last = in_words(digit)
        for start in (("zero", "zero"), ("double", "oh"), ("double", "zero"), ("zero", *last)):
            yield ("find", "patient", *start, *last)
            yield (*start, *last)


def _numbered(lexicon: Lexicon) -> Iterable[tuple[str, ...]]:
    """The commands that take a number, with it."""
    numbered = {command.value for command in lexicon.commands if command.takes == "number"}
    for phrase in lexicon.phrases:
        if phrase.slot is Slot.COMMAND and phrase.value in numbered and not phrase.misheard:
            for number in range(1, _ROWS + 1):
                yield (*phrase.words, *in_words(number))
