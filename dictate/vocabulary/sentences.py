"""Dictation sentences generated from the vocabulary, with the class of every word.

They train the language model that holds the speech engines to the trade's phrases, and are
spoken by synthesisers to make training audio. The grammar is `vocab/sentences.toml`.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from random import Random

from dictate.errors import VocabularyError
from dictate.vocabulary.classes import Classes, home
from dictate.vocabulary.grammar import FILE, Grammar, load_grammar
from dictate.vocabulary.schema import Lexicon, Slot, Spelling
from dictate.vocabulary.templates import Either, Hole, Pause, Sequence, Word, holes

WORD = "word"
NUMBER = "number"
_AMERICAN_SHARE = 0.4
_DEEPEST = 40
_TRIES = 200
_SAID_ONCE = frozenset(
    {Slot.TENDER, Slot.WIPES_OFF, Slot.MOBILITY, Slot.CHANGE, Slot.ATTACHMENT, Slot.CONSISTENCY}
    | {Slot.SURFACE, Slot.BORDER, Slot.NOTE}
)
"""Slots of which a speaker says one value of one lesion."""
_VOWELS = tuple("aeiou")
_NOT_VOWELS = ("uni", "one", "eu", "uvu")


@dataclass(frozen=True, slots=True)
class Part:
    """Words that belong together, and what they are."""

    words: tuple[str, ...]
    label: str
    """A slot's name ("side", "kind", "length_unit" ...), "number", or "word"."""
    value: str | bool | float | None = None
    """The vocabulary's value; None for numbers and plain words."""
    pause: bool = False
    """True if a short pause comes before it."""


@dataclass(frozen=True, slots=True)
class Tagged:
    """One sentence with the classes of its words."""

    parts: tuple[Part, ...]
    category: str
    """The list of templates it comes from ("finding", "command" ...)."""

    @property
    def words(self) -> tuple[str, ...]:
        return tuple(word for part in self.parts for word in part.words)

    @property
    def labels(self) -> tuple[str, ...]:
        """One label a word."""
        return tuple(part.label for part in self.parts for _ in part.words)

    @property
    def text(self) -> str:
        """The words with commas where a speaker pauses."""
        said = ""
        for part in self.parts:
            said += (", " if part.pause and said else " ") + " ".join(part.words)
        return said.strip()


class _DeadEndError(Exception):
    """A template that cannot be filled as it was begun."""


def sentences(
    lexicon: Lexicon, seed: int, count: int, grammar: Grammar | None = None
) -> Iterator[Tagged]:
    """`count` sentences, the same for the same seed and files.

    Raises VocabularyError where the grammar names a rule or class that does not exist.
    """
    writer = _Writer(lexicon, grammar or load_grammar(), Random(seed))
    return (writer.sentence() for _ in range(count))


def speakable_words(lexicon: Lexicon, grammar: Grammar | None = None) -> frozenset[str]:
    """Every word that dictation may hold, in both spellings: for an engine's word list."""
    said = (grammar or load_grammar()).literal_words()
    return lexicon.words() | lexicon.spelling.spread(said)


class _Writer:
    def __init__(self, lexicon: Lexicon, grammar: Grammar, rng: Random) -> None:
        self._grammar = grammar
        self._classes = Classes(lexicon, grammar)
        self._rng = rng
        self._american = _american(lexicon.spelling)
        self._units = {
            phrase.words[0]: (phrase.slot.value, phrase.value)
            for phrase in lexicon.phrases
            if phrase.slot in (Slot.LENGTH_UNIT, Slot.TIME_UNIT)
            and len(phrase.words) == 1
            and not phrase.misheard
        }
        self._region = ""
        self._variant = ""
        self._said: set[Slot] = set()
        self._check()

    def _check(self) -> None:
        self._classes.check_groups()
        built_in = {"number", "digit"}
        for nodes in self._grammar.sequences():
            for hole in holes(nodes):
                if hole.name in self._grammar.rules or hole.name in built_in:
                    continue
                if not self._classes.known(hole.name):
                    raise VocabularyError(
                        f"{FILE}: no rule, group or class is called {hole.name!r}"
                    )

    def sentence(self) -> Tagged:
        category = self._grammar.mix.draw(self._rng)
        for _ in range(_TRIES):
            nodes = self._grammar.templates[category].draw(self._rng)
            self._region = self._variant = ""
            self._said = set()
            try:
                parts = self._expand(nodes, 0)
            except _DeadEndError:
                continue
            return Tagged(self._polished(parts), category)
        raise VocabularyError(f"{FILE}: templates.{category} cannot be filled from the vocabulary")

    def _expand(self, nodes: Sequence, depth: int) -> list[Part]:
        if depth > _DEEPEST:
            raise _DeadEndError
        parts: list[Part] = []
        pause = False
        for node in nodes:
            if isinstance(node, Pause):
                pause = True
                continue
            new = self._node(node, depth)
            if new and pause:
                new[0], pause = replace(new[0], pause=True), False
            parts.extend(new)
        return parts

    def _node(self, node: Word | Hole | Either, depth: int) -> list[Part]:
        if isinstance(node, Word):
            return [self._literal(node.text)]
        if isinstance(node, Either):
            return self._expand(self._rng.choice(node.options), depth + 1)
        if node.name in self._grammar.rules:
            return self._expand(self._grammar.rules[node.name].draw(self._rng), depth + 1)
        if node.name == "number":
            return [Part(self._grammar.number(self._count(node.arg)), NUMBER)]
        if node.name == "digit":
            return [Part(self._grammar.number(self._rng.randint(1, 9)), NUMBER)]
        return [self._phrase(node)]

    def _literal(self, word: str) -> Part:
        if word in self._grammar.number_words:
            return Part((word,), NUMBER)
        label, value = self._units.get(word, (WORD, None))
        return Part((word,), label, value)

    def _count(self, arg: str) -> int:
        """Small numbers and multiples of five are said more often than others."""
        low, high = (int(each) for each in arg.split("-"))
        kind = self._rng.random()
        if kind < 0.35:
            return self._rng.randint(low, min(high, max(low, 12)))
        fives = range(-(-low // 5) * 5, high + 1, 5)
        if kind < 0.55 and fives:
            return self._rng.choice(fives)
        return self._rng.randint(low, high)

    def _phrase(self, hole: Hole) -> Part:
        context = self._variant if hole.name == "variant_place" else self._region
        choice = self._classes.choice(hole.name, hole.arg, context)
        if choice is None or not choice.items:
            raise _DeadEndError
        phrase = choice.draw(self._rng)
        if phrase.slot in _SAID_ONCE:
            if phrase.slot in self._said:
                raise _DeadEndError
            self._said.add(phrase.slot)
        if hole.name in ("subsite", "part_adjective"):
            self._region = self._rng.choice(phrase.regions)
        elif phrase.slot in (Slot.REGION, Slot.SUBSITE):
            self._region = home(phrase)
        elif phrase.slot is Slot.NORMAL_VARIANT:
            self._variant = str(phrase.value)
        return Part(phrase.words, phrase.slot.value, phrase.value)

    def _polished(self, parts: list[Part]) -> tuple[Part, ...]:
        """With "an" before vowels, and in some sentences American spelling."""
        american = self._rng.random() < _AMERICAN_SHARE
        polished: list[Part] = []
        for at, part in enumerate(parts):
            words = part.words
            if words == ("a",) and at + 1 < len(parts) and _begins_with_vowel(parts[at + 1]):
                words = ("an",)
            if american:
                words = tuple(self._american.get(word, word) for word in words)
            polished.append(replace(part, words=words))
        return tuple(polished)


def _american(spelling: Spelling) -> dict[str, str]:
    """British word to American word, the first listed where there are two."""
    pairs = reversed(spelling.american.items())
    return {uk: us for us, uk in pairs if us not in spelling.also}


def _begins_with_vowel(part: Part) -> bool:
    first = part.words[0]
    return first.startswith(_VOWELS) and not first.startswith(_NOT_VOWELS)
