"""Sides said inside the name of a place: "skin of the left cheek" is "left skin of the cheek"."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import replace

from dictate.matching.forms import Words
from dictate.matching.text import Token, words_of
from dictate.vocabulary.schema import Lexicon, Slot

_SIDES = frozenset({"left", "right"})
_BEFORE_SIDE = frozenset({"of", "the"})
_SHORTEST = 3
"""Words of the shortest name that a side may stand inside of ("floor of mouth" is none)."""


class Reorder:
    """Knows the names of places that hold an "of"."""

    def __init__(self, lexicon: Lexicon) -> None:
        forms: dict[str, set[Words]] = defaultdict(set)
        for phrase in lexicon.phrases:
            place = phrase.slot in (Slot.REGION, Slot.SUBSITE) and not phrase.misheard
            whole = len(phrase.words) >= _SHORTEST and phrase.words[0] != "side"
            if place and whole and _BEFORE_SIDE.intersection(phrase.words):
                for words in (phrase.words, _without_the(phrase.words)):
                    forms[words[0]].add(words)
        self._forms = dict(forms)

    def tokens(self, tokens: tuple[Token, ...]) -> tuple[Token, ...]:
        """The tokens with such a side before the name that it stands in."""
        for at, token in enumerate(tokens):
            if token.text in _SIDES and at > 1 and tokens[at - 1].text in _BEFORE_SIDE:
                start = self._name_around(tokens, at)
                if start is not None:
                    tokens = _moved(tokens, at, start)
        return tokens

    def _name_around(self, tokens: tuple[Token, ...], at: int) -> int | None:
        words = words_of(tokens)
        for start in range(max(0, at - 5), at - 1):
            for form in self._forms.get(words[start], ()):
                end = start + len(form) + 1
                if start < at < end - 1 and _same(words[start:end], at - start, form):
                    return start
        return None


def _same(words: Iterable[str], side: int, form: Words) -> bool:
    """True if the words are the form, but for the side that stands in it."""
    return tuple(word for index, word in enumerate(words) if index != side) == form


def _moved(tokens: tuple[Token, ...], at: int, start: int) -> tuple[Token, ...]:
    side = replace(tokens[at], pause=tokens[start].pause, stop=tokens[start].stop)
    first = replace(tokens[start], pause=False, stop=False)
    return (*tokens[:start], side, first, *tokens[start + 1 : at], *tokens[at + 1 :])


def _without_the(words: Words) -> Words:
    return tuple(word for at, word in enumerate(words) if word != "the" or not at)
