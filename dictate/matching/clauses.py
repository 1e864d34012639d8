"""Cuts an utterance into clauses: one lesion, or one statement about regions, in each."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

from dictate.matching import grammar
from dictate.matching.anchors import find_anchors
from dictate.matching.clause import Clause
from dictate.matching.ellipsis import halves, levels_apart, tail_apart
from dictate.matching.items import (
    LESIONS,
    Item,
    before_noun,
    counts,
    is_distance,
    is_landmark,
    is_lesion,
    is_size,
    led_by_size,
)
from dictate.matching.negation import DESCRIBING, Sentence
from dictate.matching.pairing import kept_by_left, pair
from dictate.matching.place import Place
from dictate.matching.spots import Mark, Spot
from dictate.matching.subjects import without_heading
from dictate.vocabulary.schema import Slot

_BEGINS = grammar.INDEFINITE | {"and"}
_LEADING = frozenset({Slot.COLOUR, Slot.DISTRIBUTION})
"""Adjectives that in terse dictation stand before their noun."""


def cut(sentence: Sentence, items: Sequence[Item]) -> tuple[Clause, ...]:
    """The clauses of a sentence whose places are gathered, in order; every item in one."""
    items = without_heading(sentence, items)
    anchors = _with_denied(items, find_anchors(sentence, items), sentence.pauses)
    if not anchors:
        return tuple(levels_apart(Clause(tuple(items), None))) if items else ()
    owners = pair(items, anchors, sentence.pauses)
    starts = [0]
    for ordinal in range(len(anchors) - 1):
        starts.append(_boundary(sentence, items, starts[-1], anchors, ordinal, owners))
    unclear = owners is None and _several(items, anchors)
    loose = _loose_sizes(sentence, items, anchors)
    clauses: list[Clause] = []
    for ordinal, (start, end) in enumerate(itertools.pairwise([*starts, len(items)])):
        anchor = anchors[ordinal]
        about = None if _denied(items[anchor]) else items[anchor]
        clause = Clause(tuple(items[start:end]), about, unclear, ordinal in loose)
        for each in tail_apart(clause):
            clauses += halves(sentence, each)
    return tuple(clauses)


def _loose_sizes(sentence: Sentence, items: Sequence[Item], anchors: Sequence[int]) -> set[int]:
    """ "Plaque on the lip, ten millimetres, blue, soft swelling": of the plaque or the swelling?"""
    loose: set[int] = set()
    for ordinal, (left, right) in enumerate(itertools.pairwise(anchors)):
        end = anchors[ordinal + 2] if ordinal + 2 < len(anchors) else len(items)
        at = next((n for n in reversed(range(left + 1, right)) if is_size(items[n])), None)
        sized = any(is_size(i) or _same_size(i) for i in items[right:end])
        if at is None or sized:
            continue
        lead = sentence.words[max(0, items[at].start - 1) : items[at].start]
        if _BEGINS.intersection(lead):
            continue  # "And a five millimetre patch."
        between = items[at + 1 : right]
        small = all(isinstance(i, Spot) and (before_noun(i) or i.duration) for i in between)
        pauses = sentence.pauses.intersection(range(items[at].end, items[right].start + 1))
        many = len(pauses) > 1 or items[right].start in sentence.pauses
        joined = any("and" in sentence.said(i) for i in between if isinstance(i, Spot))
        apart = many and items[at].start in sentence.pauses
        leads = not sentence.pauses and not sentence.words[items[at].end - 1].endswith("s")
        if small and not joined and (apart or leads):  # "Two centimetre ulcer" leads.
            loose |= {ordinal, ordinal + 1}
    return loose


def _same_size(item: Item) -> bool:
    return isinstance(item, Spot) and any(p.value == "same size" for p in item.phrases)


def _with_denied(items: Sequence[Item], anchors: list[int], pauses: frozenset[int]) -> list[int]:
    """ "No ulcer on the right, ulcer on the left": what is denied has its own place."""
    denied = [
        at for at in range(len(items)) if _denied(items[at]) and _place_after(items, at, pauses)
    ]
    both = sorted([*anchors, *denied])
    if not anchors or not denied or pair(items, both, pauses) is None:
        return anchors
    return both


def _denied(item: Item) -> bool:
    return isinstance(item, Spot) and item.slot in LESIONS and item.negated


def _place_after(items: Sequence[Item], index: int, pauses: frozenset[int]) -> bool:
    after = index + 1
    while after < len(items):
        item = items[after]
        if item.start in pauses:
            return False
        if isinstance(item, Place):
            return not is_landmark(items, after)
        if item.mark is not Mark.FUNCTION and item.slot is not Slot.FILLER:
            return False
        after += 1
    return False


def _several(items: Sequence[Item], anchors: Sequence[int]) -> bool:
    lesions = sum(is_lesion(items[index]) for index in anchors)
    return lesions > 1 and any(isinstance(item, Place) for item in items)


def _boundary(
    sentence: Sentence,
    items: Sequence[Item],
    start: int,
    anchors: Sequence[int],
    ordinal: int,
    owners: dict[int, int] | None,
) -> int:
    """Where the clause after that of the anchor at `ordinal` begins."""
    left, right = anchors[ordinal], anchors[ordinal + 1]
    places = [
        index
        for index in range(left + 1, right)
        if isinstance(items[index], Place) and not is_landmark(items, index)
    ]
    if owners is not None:
        own = sum(owners[index] <= ordinal for index in places)
    else:
        following = anchors[ordinal + 2] if ordinal + 2 < len(anchors) else len(items)
        own = kept_by_left(items, places, start, left, right, following, sentence.pauses)
    lowest = places[own - 1] + 1 if own else left + 1
    if own < len(places):
        first = places[own]
        away = first > lowest and is_size(items[first - 1])
        if away and (is_distance(sentence, items, first - 1) or led_by_size(items, first)):
            first -= 1  # "One centimetre above the clavicle, a node".
        led = _after_and(sentence, items, first, lowest)
        return _over_small(items, first, lowest) if led is None else led
    return _noun_phrase_start(sentence, items, right, lowest)


def _over_small(items: Sequence[Item], index: int, lowest: int) -> int:
    """Step back over small words ("and on the") before the item at `index`."""
    while index > lowest:
        item = items[index - 1]
        if isinstance(item, Place) or not (
            item.mark in (Mark.FUNCTION, Mark.LANDMARK) or item.slot is Slot.FILLER
        ):
            break
        index -= 1
    return index


def _after_and(sentence: Sentence, items: Sequence[Item], anchor: int, lowest: int) -> int | None:
    """ "Mass, firm, and six millimetres, tender ulcer": all after the "and" is of the ulcer."""
    for index in reversed(range(lowest, anchor)):
        item = items[index]
        if isinstance(item, Place) or not before_noun(item):
            return None
        measured = item.size is not None or item.duration is not None
        begins = "and" in item.said and not measured and item.start in sentence.pauses
        if begins or item.start in sentence.stops:
            return index
    return None


def _noun_phrase_start(sentence: Sentence, items: Sequence[Item], anchor: int, lowest: int) -> int:
    """Where the noun phrase of the anchor begins: at its article, else at its adjectives."""
    led = _after_and(sentence, items, anchor, lowest)
    if led is not None:
        return led
    if items[anchor].start in sentence.pauses:
        return _over_small(items, anchor, lowest)
    fallback = anchor
    denied = _denied(items[anchor])
    index = anchor
    leading = bare = True
    while index > lowest:
        item = items[index - 1]
        negator = denied and isinstance(item, Spot) and item.mark is Mark.NEGATION
        if isinstance(item, Place) or not (before_noun(item) or negator):
            break
        index -= 1
        if negator:
            return _over_small(items, index, lowest)
        said = sentence.words[item.start : item.end]
        small = item.mark is Mark.FUNCTION or item.slot is Slot.FILLER
        if small and (said[-1] in grammar.INDEFINITE or item.start in sentence.pauses):
            return _over_small(items, index, lowest)
        leading = leading and (item.slot in _LEADING or counts(item))
        if leading:
            fallback = index
        if item.start in sentence.pauses and item.slot in DESCRIBING:
            return index
        if item.start in sentence.pauses and is_size(item) and bare:
            return index  # "Nodule on the left lip; three millimetre papule": the papule's.
        bare = bare and item.slot in DESCRIBING
    return _over_small(items, fallback, lowest)
