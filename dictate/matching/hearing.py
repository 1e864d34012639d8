"""Heard words to sentences: brought to one spelling, spotted, and what "no" reaches told."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from dictate.matching import thresholds
from dictate.matching.forms import Words
from dictate.matching.negation import Sentence, scoped
from dictate.matching.refusing import cut_short
from dictate.matching.reordered import Reorder
from dictate.matching.spotting import Spotter
from dictate.matching.text import Speller, Token, words_of
from dictate.speech.heard import Hypothesis, Utterance, Word
from dictate.vocabulary.schema import Lexicon


class Hearing:
    """Hears with the phrases of a lexicon; made once, safe to share."""

    def __init__(self, lexicon: Lexicon) -> None:
        self._speller = Speller.of(lexicon)
        self._spotter = Spotter(lexicon)
        self._reorder = Reorder(lexicon)
        self.lengths = self._spotter.lengths

    def tokens(self, words: Iterable[Word]) -> tuple[Token, ...]:
        """The tokens of heard words."""
        return self._reorder.tokens(self._speller.tokens(words))

    def words(self, text: str) -> Words:
        """The words of a text, without punctuation."""
        return self._speller.words(text)

    def sentence(self, tokens: tuple[Token, ...]) -> Sentence:
        """The sentence that tokens are."""
        words = words_of(tokens)
        pauses = frozenset(index for index, token in enumerate(tokens) if token.pause)
        stops = frozenset(index for index, token in enumerate(tokens) if token.stop)
        return self.words_read(words, pauses, stops)

    def words_read(
        self,
        words: Words,
        pauses: frozenset[int] = frozenset(),
        stops: frozenset[int] = frozenset(),
    ) -> Sentence:
        """The sentence that words are."""
        return scoped(Sentence(words, pauses, self._spotter.spot(words, pauses), stops))

    def witnesses(self, utterance: Utterance) -> Iterator[tuple[Token, ...]]:
        """The tokens of the other readings that score near the best."""
        for hypothesis in near(utterance):
            if not cut_short(hypothesis, utterance.hypotheses[0]):
                yield self.tokens(hypothesis.words)


def near(utterance: Utterance) -> Iterator[Hypothesis]:
    """The other readings that score near the best."""
    best = utterance.hypotheses[0]
    for hypothesis in utterance.hypotheses[1 : thresholds.NBEST]:
        if abs(best.score - hypothesis.score) <= thresholds.NBEST_MARGIN:
            yield hypothesis
