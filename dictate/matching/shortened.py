"""Names said once for two things: "hard and soft palate", "levels two and three"."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from dictate.matching.forms import Words
from dictate.matching.spots import Spot
from dictate.vocabulary.schema import Phrase, Slot

Index = Mapping[str, Sequence[tuple[Words, tuple[Phrase, ...]]]]
_JOINTS = frozenset({"and", "or"})
_TAKING_BACK = frozenset({"no", "sorry", "wait", "er", "um", "uh", "erm", "the", "i", "mean"})
_OPPOSITE = {
    "upper": "lower",
    "lower": "upper",
    "maxillary": "mandibular",
    "mandibular": "maxillary",
}
_LEVEL = "level"
_AFTER_LEVELS = frozenset({"on", "right", "left", "both", "bilaterally", "are", "is", "were"})
_LEVELS = "levels"


def shortened(words: Words, index: Index) -> Iterator[Spot]:
    """Spots of words that stand for a longer form, the rest of which is said beside them."""
    for start in range(len(words)):
        if words[start + 1 : start + 2] and words[start + 1] in _JOINTS:
            yield from _first_of_two(words, start, index)
            yield from _noun_first(words, start, index)
            if words[start] in _OPPOSITE and len(words) > start + 3:
                yield from _upper_and_lower(words, start, index)
        elif words[start + 1 : start + 2] and words[start + 1] in _TAKING_BACK:
            yield from _taken_back(words, start, index)
    if _LEVELS in words:
        yield from _levels(words, words.index(_LEVELS), index)
    elif _LEVEL in words and _two_levels(words, words.index(_LEVEL), index):
        yield from _levels(words, words.index(_LEVEL), index)


def _first_of_two(words: Words, start: int, index: Index) -> Iterator[Spot]:
    """ "Hard" in "hard and soft palate": the regions are named by one last word."""
    second = words[start + 2 : start + 4]
    if second[:1] == (words[start],):
        return  # "Soft, and soft palate": said of something else.
    if len(second) == 2 and _regions(second, index):
        first = _regions((words[start], second[1]), index)
        if first:
            yield Spot(start, start + 1, first)


def _noun_first(words: Words, start: int, index: Index) -> Iterator[Spot]:
    """ "Palate, hard and soft": the last word of both names stands before them."""
    both = words[start - 1 : start] == ("both",)
    at = start - 2 if both else start - 1
    noun, second = words[max(0, at) : at + 1], words[start + 2 : start + 3]
    if not (noun and second and _regions(noun, index)) or words[start + 1] != "and":
        return
    named = [_regions((*each, *noun), index) for each in ((words[start],), second)]
    if all(named):
        yield Spot(at, start + 1, named[0])
        yield Spot(start + 2, start + 3, named[1])


def _taken_back(words: Words, start: int, index: Index) -> Iterator[Spot]:
    """ "Hard" in "hard, no, the soft palate": it began the name of a region."""
    at = start + 1
    while at < len(words) and words[at] in _TAKING_BACK:
        at += 1
    second = words[at : at + 2]
    if len(second) == 2 and _regions(second, index) and not _regions((words[start],), index):
        first = _regions((words[start], second[1]), index)
        if first:
            yield Spot(start, start + 1, first)


def _upper_and_lower(words: Words, start: int, index: Index) -> Iterator[Spot]:
    """ "Upper" in "upper and lower lips": both parts are named by the words after the second."""
    if _OPPOSITE.get(words[start]) != words[start + 2]:
        return
    for end in range(min(len(words), start + 5), start + 3, -1):
        noun = words[start + 3 : end]
        for form in (noun, (*noun[:-1], noun[-1].removesuffix("s"))):
            first = _parts((words[start], *form), index)
            second = _parts((words[start + 2], *form), index)
            if first and second:
                yield Spot(start, start + 1, first)
                yield Spot(start + 2, end, second)
                return


def _parts(form: Words, index: Index) -> tuple[Phrase, ...]:
    """The part of a region that the words name by themselves."""
    for words, phrases in index.get(form[0], ()):
        if words == form and phrases[0].slot is Slot.SUBSITE and phrases[0].fills:
            return phrases
    return ()


def _regions(form: Words, index: Index) -> tuple[Phrase, ...]:
    for words, phrases in index.get(form[0], ()):
        if words == form and phrases[0].slot is Slot.REGION and not phrases[0].misheard:
            return phrases
    return ()


def _two_levels(words: Words, start: int, index: Index) -> bool:
    """ "Level four and five, on the right": but "level two and three nodes" counts nodes."""
    first, _ = _level(words, start + 1, index)
    at = start + 1 + first
    second, _ = _level(words, at + 1, index) if words[at : at + 1] == ("and",) else (0, ())
    after = words[at + 1 + second : at + 2 + second]
    return bool(first and second) and (not after or after[0] in _AFTER_LEVELS)


def _levels(words: Words, start: int, index: Index) -> Iterator[Spot]:
    """ "Levels two and three": each a level of its own."""
    at, begin = start + 1, start
    while at < len(words):
        length, phrases = _level(words, at, index)
        if not length:
            return
        yield Spot(begin, at + length, phrases)
        at += length
        if words[at : at + 1] and words[at] in _JOINTS:
            at += 1
        begin = at


def _level(words: Words, at: int, index: Index) -> tuple[int, tuple[Phrase, ...]]:
    best: tuple[int, tuple[Phrase, ...]] = (0, ())
    for form, phrases in index.get(_LEVEL, ()):
        size = len(form) - 1
        if phrases[0].slot is Slot.NODE_LEVEL and words[at : at + size] == form[1:]:
            best = max(best, (size, phrases), key=lambda each: each[0])
    return best
