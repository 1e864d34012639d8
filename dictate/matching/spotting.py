"""Finds the phrases, sizes and durations of an utterance: the cover that explains most."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from dictate.matching import grammar, turns
from dictate.matching.covering import best_cover
from dictate.matching.durations import read_duration
from dictate.matching.forms import Words
from dictate.matching.likeness import Likely, Likenesses, likeness, sound_key
from dictate.matching.numbers import NUMBER_WORDS
from dictate.matching.shortened import shortened
from dictate.matching.sizes import read_size
from dictate.matching.spots import Mark, Spot
from dictate.matching.teeth import tooth_end, where_on_it_end
from dictate.matching.thresholds import OVER_KNOWN, REST
from dictate.matching.units import Units
from dictate.vocabulary.schema import EXACT_SLOTS, Lexicon, Phrase, Slot

_LONGEST_WINDOW = 5
_FUNCTION_WORTH = 0.4
_JOINED = 0.2
_MARK_WORTH = 0.95
_TOOTH_LEAD = 0.6
"""Over a place and a size that its words make by themselves ("lower", "left", "six")."""
_SHORTENED_LEAD = 0.1
"""Over what the same words mean by themselves ("hard", "three")."""
_POSSESSIVE = frozenset({"his", "her", "their"})
_SURGERY = ("ectomy", "otomy", "ostomy", "plasty", "ectomies")
"""Endings of operations, which are like the names of what was operated on."""
_HELD = frozenset({"lip", "chin"})
"""Places in the names of symptoms."""
_SITES = frozenset({Slot.REGION, Slot.SUBSITE})
_BEFORE_SIDE = frozenset({"left", "right", "hand", "both", "each", "same", "other"})
_MARKS = (
    (Mark.NEGATION, grammar.NEGATORS),
    (Mark.NOT_SURE, turns.UNCERTAIN),
    (Mark.PAST, turns.PAST),
    (Mark.REPAIR, turns.REPAIRS),
    (Mark.EXCEPT, turns.EXCEPT),
    (Mark.RESEMBLING, turns.RESEMBLING),
    (Mark.LANDMARK, turns.LANDMARKS),
    (Mark.FUNCTION, turns.DISCOURSE),
    (Mark.FUNCTION, turns.EXTENT),
    (Mark.FUNCTION, grammar.NOT_NEGATING),
)
_MARKS_BY_FIRST = {
    first: tuple((mark, forms) for mark, forms in _MARKS if first in forms.firsts)
    for _, every in _MARKS
    for first in every.firsts
}


class Spotter:
    """Spots the lexicon's phrases; made once for a lexicon, safe to share."""

    def __init__(self, lexicon: Lexicon) -> None:
        kinds = {p.words for p in lexicon.phrases if p.slot is Slot.KIND and p.value != "lesion"}
        phrases = [each for each in lexicon.phrases if _dictated(each, kinds)]
        self._exact = _index(phrases)
        self._likenesses = Likenesses(phrases)
        self.lengths = units_of(lexicon, Slot.LENGTH_UNIT)
        self.times = units_of(lexicon, Slot.TIME_UNIT)
        self._protected = _protected(lexicon)
        self._vocabulary = lexicon.words()

    def spot(self, words: Words, pauses: frozenset[int] = frozenset()) -> tuple[Spot, ...]:
        """Spots that cover every word once, in order; the rest is marked unknown.

        No side before a place goes over a pause: "on the left, and right tonsil" is not both.
        """
        plain = tuple("the" if word in _POSSESSIVE else word for word in words)
        by_start: dict[int, list[tuple[float, Spot]]] = defaultdict(list)
        if plain != words:
            for worth, spot in self._places(plain):
                by_start[spot.start].append((worth, spot))
        for worth, spot in self._certain(words):
            paused = pauses.intersection(range(spot.start + 1, spot.end))
            if paused and spot.slot is Slot.SIDE and self._site_at(words, spot.end):
                continue
            by_start[spot.start].append((worth, spot))
        unknown = _uncovered(words, by_start)
        if unknown:
            for worth, spot in self._similar(words, unknown, by_start):
                by_start[spot.start].append((worth, spot))
        cover = best_cover(len(words), by_start)
        if _hides_place(cover):
            for start in by_start:
                by_start[start] = [each for each in by_start[start] if not _is_held(each[1])]
            cover = best_cover(len(words), by_start)
        return tuple(replace(spot, said=words[spot.start : spot.end]) for spot in cover)

    def _certain(self, words: Words) -> Iterator[tuple[float, Spot]]:
        for start, word in enumerate(words):
            for form, phrases in self._exact.get(word, ()):
                whole = words[start : start + len(form)] == form
                if whole and not _split_side(words, start) and not _of_third(form, words, start):
                    yield _worth(form, phrases), Spot(start, start + len(form), phrases)
            yield from self._measures(words, start)
            yield from _marks(words, start)
            if word in grammar.FUNCTION:
                yield _FUNCTION_WORTH, Spot(start, start + 1, mark=Mark.FUNCTION)

        for spot in shortened(words, self._exact):
            yield _long(spot.end - spot.start) + _SHORTENED_LEAD, spot

    def _site_at(self, words: Words, start: int) -> bool:
        return start < len(words) and any(
            phrases[0].slot in _SITES and words[start : start + len(form)] == form
            for form, phrases in self._exact.get(words[start], ())
        )

    def _places(self, words: Words) -> Iterator[tuple[float, Spot]]:
        """Places with "the" where "his" was said ("the border of his tongue")."""
        for start, word in enumerate(words):
            for form, phrases in self._exact.get(word, ()):
                if phrases[0].slot in _SITES and words[start : start + len(form)] == form:
                    yield _worth(form, phrases), Spot(start, start + len(form), phrases)

    def _measures(self, words: Words, start: int) -> Iterator[tuple[float, Spot]]:
        size = read_size(words, start, self.lengths)
        if size is not None:
            yield _long(size.end - start), Spot(start, size.end, size=size)
        duration = read_duration(words, start, self.times)
        if duration is not None:
            yield _long(duration.end - start), Spot(start, duration.end, duration=duration)

    def _similar(
        self, words: Words, unknown: frozenset[int], known: dict[int, list[tuple[float, Spot]]]
    ) -> Iterator[tuple[float, Spot]]:
        for start in range(len(words)):
            for end in range(start + 1, min(len(words), start + _LONGEST_WINDOW) + 1):
                if words[end - 1] in self._protected or words[end - 1].endswith(_SURGERY):
                    break
                if not any(index in unknown for index in range(start, end)):
                    continue
                if end == start + 1 and words[start] in self._vocabulary:
                    continue  # A word of the trade by itself is no other word misspelt.
                known_words = [
                    words[index]
                    for index in range(start, end)
                    if index not in unknown and words[index] not in grammar.FUNCTION
                ]
                for likely in self._likenesses.best(words[start:end]):
                    if not _keeps(words[start:end], known_words, likely):
                        continue
                    if _swallows(known, start, end, likely.phrase):
                        continue
                    tokens = sum(
                        _FUNCTION_WORTH if word in grammar.FUNCTION else 1.0
                        for word in words[start:end]
                    )
                    worth = tokens * (likely.score / 100) ** 2
                    yield worth, Spot(start, end, (likely.phrase,), likely)


def _hides_place(cover: Sequence[Spot]) -> bool:
    """ "Numbness of the lower lip on the left": with a side and nothing else, that is a place."""
    named = any(spot.has(Slot.KIND, Slot.NORMAL_VARIANT, *_SITES) for spot in cover)
    sided = any(spot.has(Slot.SIDE) for spot in cover)
    return sided and not named and any(map(_is_held, cover))


def _is_held(spot: Spot) -> bool:
    """A symptom whose name holds a place ("lower lip numb")."""
    words = spot.phrase.words if spot.phrase is not None else ()
    return spot.slot is Slot.SYMPTOM and bool(_HELD.intersection(words))


def _dictated(phrase: Phrase, kinds: set[Words]) -> bool:
    """False for commands, and for "no lumps": one kind absent is not a healthy region."""
    if phrase.slot in (Slot.COMMAND, Slot.FIELD):
        return False
    names_kind = phrase.words[0] == "no" and phrase.words[1:2] in kinds
    return not (phrase.slot is Slot.NORMAL and names_kind and not phrase.fills)


def _index(phrases: Iterable[Phrase]) -> dict[str, list[tuple[Words, tuple[Phrase, ...]]]]:
    by_words: dict[Words, list[Phrase]] = defaultdict(list)
    for phrase in phrases:
        by_words[phrase.words].append(phrase)
    for words in tuple(by_words):
        if by_words[words][0].slot in _SITES and _without_the(words) not in by_words:
            by_words[_without_the(words)] += by_words[words]
    index: dict[str, list[tuple[Words, tuple[Phrase, ...]]]] = defaultdict(list)
    for words, same in by_words.items():
        index[words[0]].append((words, tuple(same)))
    return index


def _without_the(words: Words) -> Words:
    """ "Edge of tongue" is said as well as "edge of the tongue"."""
    return tuple(
        word for at, word in enumerate(words) if word != "the" or words[at - 1 : at] != ("of",)
    )


def units_of(lexicon: Lexicon, slot: Slot) -> Units:
    """The units of length (in millimetres) or of time (in days) as they are spoken."""
    return {phrase.words: float(phrase.value) for phrase in lexicon.phrases if phrase.slot is slot}


def _protected(lexicon: Lexicon) -> frozenset[str]:
    """Words that likeness never touches: sides, units, numbers and negations."""
    exact = {
        phrase.words[0]
        for phrase in lexicon.phrases
        if phrase.slot in EXACT_SLOTS and len(phrase.words) == 1
    }
    return frozenset(grammar.NEGATING | exact | NUMBER_WORDS | grammar.SECOND_PERSON)


def _keeps(window: Words, known: Sequence[str], likely: Likely) -> bool:
    """True if the words understood by themselves are in the phrase, and the rest is alike."""
    shared = set(known) & set(likely.phrase.words)
    if len(shared) < len(set(known)):
        return likely.score >= OVER_KNOWN
    if not shared:
        return True
    heard = "".join(word for word in window if word not in shared)
    said = "".join(word for word in likely.phrase.words if word not in shared)
    return likeness(heard, sound_key(heard), said, sound_key(said)) >= REST


def _swallows(
    known: dict[int, list[tuple[float, Spot]]], start: int, end: int, phrase: Phrase
) -> bool:
    """True if the words hold the phrase's very meaning, plainly said, and then some."""
    for index in range(start, end):
        for _, spot in known.get(index, ()):
            same = any((p.slot, p.value) == (phrase.slot, phrase.value) for p in spot.phrases)
            if same and spot.likely is None and spot.end <= end:
                return True
    return False


def _split_side(words: Words, start: int) -> bool:
    """True inside "left side of the tongue": the side is left, "side" is no part of it."""
    of_it = words[start : start + 2] == ("side", "of")
    return of_it and start > 0 and words[start - 1] in _BEFORE_SIDE


def _of_third(form: Words, words: Words, start: int) -> bool:
    """True for "in the middle" of "in the middle third": the third is what is named."""
    end = start + len(form)
    return form[-1:] == ("middle",) and words[end : end + 1] == ("third",)


def _long(length: int) -> float:
    return length + _JOINED * (length - 1)


def _worth(form: Words, phrases: tuple[Phrase, ...]) -> float:
    if phrases[0].slot is Slot.FILLER:
        return _FUNCTION_WORTH * len(form) + 0.05 * (len(form) - 1)
    return _long(len(form))


def _marks(words: Words, start: int) -> Iterator[tuple[float, Spot]]:
    marks = _MARKS_BY_FIRST.get(words[start], ())
    blocked = bool(marks) and grammar.NOT_NEGATING.end(words, start) > start
    for mark, forms in marks:
        end = forms.end(words, start)
        if end > start and not (mark is Mark.NEGATION and blocked):
            yield _long(end - start) * _MARK_WORTH, Spot(start, end, mark=mark)
    tooth = tooth_end(words, start)
    if tooth > start:
        led = tooth > start + 1 or words[start] in NUMBER_WORDS
        lead = _TOOTH_LEAD if led else -0.1
        yield _long(tooth - start) + lead, Spot(start, tooth, mark=Mark.TOOTH)
    beside = where_on_it_end(words, start)
    if beside > start:
        yield _long(beside - start) + _TOOTH_LEAD, Spot(start, beside, mark=Mark.TOOTH)


def _uncovered(words: Words, by_start: dict[int, list[tuple[float, Spot]]]) -> frozenset[int]:
    covered: set[int] = set()
    for spots in by_start.values():
        for _, spot in spots:
            covered.update(range(spot.start, spot.end))
    return frozenset(range(len(words))) - covered
