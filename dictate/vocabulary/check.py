"""Entries of the vocabulary that collide, or sound so alike that an engine may swap them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Literal

from rapidfuzz.distance import Indel
from rapidfuzz.process import cdist

from dictate.vocabulary.schema import Lexicon, Phrase, Slot
from dictate.vocabulary.soundalike import alike, difference, sound_key

ALIKE_FROM = 80.0
"""Likeness from which two values of a slot are reported."""
_CHUNK = 512
_NO_MEANING = frozenset({Slot.FILLER, Slot.CARRY})


@dataclass(frozen=True, slots=True)
class Problem:
    """Two phrases that may be taken for each other."""

    kind: Literal["collision", "sound-alike"]
    first: Phrase
    second: Phrase
    score: float = 100.0
    """Likeness, 0 to 100."""

    @property
    def serious(self) -> bool:
        """True if it must be mended: the same words mean two things."""
        return self.kind == "collision"

    def __str__(self) -> str:
        if self.serious:
            return (
                f"collision: {self.first.text!r} means both {_meaning(self.first)} and "
                f"{_meaning(self.second)}; remove it from one of them"
            )
        return (
            f"sound-alike ({self.score:.0f}): {self.first.text!r} ({_meaning(self.first)}) and "
            f"{self.second.text!r} ({_meaning(self.second)}); reword one or declare both under "
            "[[confusions]]"
        )


def check(lexicon: Lexicon) -> list[Problem]:
    """Every collision, then every sound-alike pair that no `confusions` entry declares."""
    alikes = sorted(_sound_alikes(lexicon), key=lambda each: -each.score)
    return [*_collisions(lexicon), *alikes]


def report(lexicon: Lexicon) -> tuple[list[str], bool]:
    """Lines fit to print, and whether something must be mended (a collision)."""
    problems = check(lexicon)
    return [str(problem) for problem in problems], any(each.serious for each in problems)


def _meaning(phrase: Phrase) -> str:
    where = f" of {' or '.join(phrase.regions)}" if phrase.regions else ""
    return f"{phrase.slot.value} {phrase.value!r}{where}"


def _collisions(lexicon: Lexicon) -> Iterator[Problem]:
    by_words: dict[tuple[str, ...], list[Phrase]] = defaultdict(list)
    for phrase in lexicon.phrases:
        by_words[phrase.words].append(phrase)
    for same in by_words.values():
        for first, second in combinations(same, 2):
            if _clash(first, second):
                yield Problem("collision", first, second)


def _clash(first: Phrase, second: Phrase) -> bool:
    """True if nothing around the words can tell which of the two is meant."""
    if first.review_only != second.review_only:
        return False
    if (first.slot is Slot.FIELD) != (second.slot is Slot.FIELD):
        return False
    if first.slot is not second.slot:
        return True
    if first.slot is Slot.REGION and first.vague and second.vague:
        return False  # A loose name of both ("salivary glands") is asked about.
    if first.slot is Slot.SUBSITE and first.regions and second.regions:
        return bool(set(first.regions) & set(second.regions)) and first.value != second.value
    told = (first.value, first.fills, first.negated, first.plural)
    return told != (second.value, second.fills, second.negated, second.plural)


def _sound_alikes(lexicon: Lexicon) -> Iterator[Problem]:
    by_slot: dict[Slot, list[Phrase]] = defaultdict(list)
    for phrase in lexicon.phrases:
        if not (phrase.misheard or phrase.vague or phrase.slot in _NO_MEANING):
            by_slot[phrase.slot].append(phrase)
    for slot, phrases in by_slot.items():
        declared = _declared(lexicon, slot)
        reported: set[frozenset[str]] = set()
        for first, second in _candidates(phrases):
            parts = frozenset(difference(_told(first), _told(second)))
            if "" in parts or parts in reported or _apart(first, second):
                continue
            score = alike(min(parts), max(parts))
            both = frozenset({first.text, second.text})
            if score >= ALIKE_FROM and not any(
                parts <= words or both <= words for words in declared
            ):
                reported.add(parts)
                yield Problem("sound-alike", first, second, score)


def _told(phrase: Phrase) -> tuple[str, ...]:
    return tuple(word for word in phrase.words if word != "the")


def _apart(first: Phrase, second: Phrase) -> bool:
    """True if no swap can pass: the value is the same, or its region or a "no" tells."""
    if first.value == second.value or first.negated != second.negated:
        return True
    bound = bool(first.regions and second.regions)
    return bound and not set(first.regions) & set(second.regions)


def _declared(lexicon: Lexicon, slot: Slot) -> list[frozenset[str]]:
    return [
        frozenset(confusion.words)
        for confusion in lexicon.confusions
        if confusion.slot in (slot, None)
    ]


def _candidates(phrases: Sequence[Phrase]) -> Iterator[tuple[Phrase, Phrase]]:
    """Pairs alike as wholes: the parts they differ in can only be less alike."""
    spelt = ["".join(phrase.words) for phrase in phrases]
    heard = [sound_key(text) for text in spelt]
    for start in range(0, len(phrases), _CHUNK):
        rows = slice(start, start + _CHUNK)
        scores = cdist(spelt[rows], spelt, scorer=Indel.normalized_similarity)
        scores = scores + cdist(heard[rows], heard, scorer=Indel.normalized_similarity)
        for row, column in zip(*(scores * 50 >= ALIKE_FROM).nonzero(), strict=True):
            if start + row < column:
                yield phrases[start + row], phrases[column]
