"""The vocabulary and its n-gram, as the decoder needs them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from dictate.speech.packaged.corpus import Corpus
from dictate.speech.packaged.ngram import NGram
from dictate.speech.packaged.outlook import Outlook
from dictate.speech.packaged.spelling import NUMBER_WORDS, TENS, UNITS, spellings
from dictate.speech.packaged.tokens import Tokenizer
from dictate.speech.packaged.trie import SpellingTrie
from dictate.vocabulary.schema import Lexicon

_NUMBERS = dict.fromkeys(UNITS[1:], "unit") | dict.fromkeys(TENS, "ten")
"""Numbers share their counts: any size is as likely as another."""


@dataclass(frozen=True, slots=True)
class Language:
    """What may be said, and how likely each word is after the words before."""

    words: tuple[str, ...]
    trie: SpellingTrie
    outlook: Outlook


def build_language(lexicon: Lexicon, ngram: NGram, tokenizer: Tokenizer) -> Language:
    """Trie of all words that the n-gram knows, and what it says of them."""
    meanings = spellings(ngram.words, lexicon.spelling)
    trie = SpellingTrie(tuple(meanings), tokenizer.pieces)
    return Language(ngram.words, trie, Outlook(ngram, trie, meanings))


def learn(lexicon: Lexicon, corpus: Corpus) -> NGram:
    """N-gram of the corpus over all words that may be heard."""
    words = vocabulary(lexicon, corpus.sentences)
    return NGram.counted(words, corpus.sentences, _NUMBERS, corpus.classes | _NUMBERS)


def vocabulary(lexicon: Lexicon, sentences: Iterable[Sequence[str]] = ()) -> tuple[str, ...]:
    """Words that may be heard, sorted; known mishearings are left out."""
    words = {word for phrase in lexicon.phrases if not phrase.misheard for word in phrase.words}
    for sentence in sentences:
        words.update(sentence)
    words.update(NUMBER_WORDS)
    return tuple(sorted(word for word in words if word.isascii() and word.isalpha()))
