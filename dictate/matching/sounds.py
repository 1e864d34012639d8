"""Doubts about single words: heard weakly, like another word, or not understood."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from itertools import permutations

from dictate.matching import thresholds
from dictate.matching.draft import Draft
from dictate.matching.grammar import FUNCTION, INDEFINITE
from dictate.matching.numbers import NUMBER_WORDS, TEEN_TY
from dictate.matching.outcome import Outcome
from dictate.matching.text import Token
from dictate.vocabulary.schema import Confusion, Lexicon

WATCHED = ("region", "subsite", "side", "size_mm", "node_level")
"""Fields whose error can hurt somebody."""
_CHECKED = (*WATCHED, "kind", "count", "duration_days")
_NUMBERS = ("size_mm", "count", "duration_days")
_SMALL = FUNCTION - {"by"}
Again = Callable[[tuple[str, ...]], Sequence[Outcome]]
"""Reads the words of an utterance anew: what would they say with another word in one place?"""


class Sounds:
    """Words that engines or ears swap, from the confusions of a lexicon."""

    def __init__(self, lexicon: Lexicon) -> None:
        self._swaps: dict[tuple[str, str], list[str]] = {}
        meant = _words_by_field(lexicon)
        for confusion in lexicon.confusions:
            name = confusion.slot.value if confusion.slot is not None else ""
            for word, other in _swapped(confusion):
                # "Left" for "lift" is a slip that changes no record: only words that the
                # field could hold as well are worth a question.
                if other in meant.get(name, NUMBER_WORDS):
                    self._swaps.setdefault((name, word), []).append(other)

    def check(self, tokens: Sequence[Token], draft: Draft, ordinal: int, again: Again) -> None:
        """Doubt the fields whose words were not surely heard, and offer what they may have been.

        `ordinal` tells which finding of the utterance the draft is.
        """
        for name in _CHECKED:
            for index in _telling(tokens, draft, name):
                token = tokens[index]
                if token.confidence < thresholds.WEAK_WORD and name in WATCHED:
                    draft.doubt(name, f"“{token.text}” was not heard well")
                if token.confidence >= _believed(token.text, name):
                    continue
                for other in self.alike(token.text, name):
                    draft.doubt(name, f"“{token.text}” sounds like “{other}”")
                    _offer(tokens, index, other, draft, name, ordinal, again)

    def weak_word(self, tokens: Sequence[Token], outcome: Outcome) -> str:
        """Why the place of a statement about a region is in doubt; empty if it is not."""
        for spot in outcome.place.spots if outcome.place is not None else ():
            name = spot.slot.value if spot.slot is not None else ""
            for token in tokens[spot.start : spot.end]:
                if token.text in _SMALL:
                    continue
                if token.confidence < thresholds.WEAK_WORD:
                    return f"“{token.text}” was not heard well"
                others = self.alike(token.text, name)
                if others and token.confidence < _believed(token.text, name):
                    return f"“{token.text}” sounds like “{others[0]}”"
        return ""

    def alike(self, word: str, name: str) -> list[str]:
        """The words that `word` may have been in a field; the likeliest first."""
        if name in _NUMBERS:
            return [TEEN_TY[word]] if word in TEEN_TY else self._swaps.get(("", word), [])
        return self._swaps.get((name, word), [])


def _believed(word: str, name: str) -> float:
    """The confidence from which a word that has a sound-alike is believed."""
    if name in _NUMBERS and word in TEEN_TY:
        return thresholds.SURE_WORD
    return thresholds.ALIKE_WORD if name in WATCHED else thresholds.WEAK_WORD


def _words_by_field(lexicon: Lexicon) -> dict[str, frozenset[str]]:
    """The words that each field's phrases hold; region and part are one place."""
    words: dict[str, set[str]] = {}
    for phrase in lexicon.phrases:
        if not phrase.misheard:
            words.setdefault(phrase.slot.value, set()).update(phrase.words)
    places = words.get("region", set()) | words.get("subsite", set())
    words.update(region=places, subsite=places)
    return {name: frozenset(each) for name, each in words.items()}


def surely_heard(tokens: Sequence[Token], free: frozenset[str]) -> frozenset[str]:
    """Words that were, wherever they stand, also without the vocabulary's help (`free`)."""
    unsure = {token.text for token in tokens if token.confidence < thresholds.SURE_WORD}
    return free.intersection(token.text for token in tokens) - unsure


def beside_unknown(
    tokens: Sequence[Token], draft: Draft, harmless: frozenset[str], *, heard: bool = True
) -> None:
    """A word not understood right beside a place or a figure may belong to it.

    Not so across the end of a sentence; in typed text, not across any punctuation; and not one
    that is `harmless`.
    """
    unknown = set(draft.unknown) - harmless
    for name in ("region", "subsite", "side", "size_mm"):
        for spot in draft.evidence.get(name, ()):
            for index in (spot.start - 1, spot.end):
                if not (0 <= index < len(tokens) and tokens[index].text in unknown):
                    continue
                later = tokens[max(index, spot.start)]
                if later.stop or (later.pause and not heard):
                    continue
                following = tokens[index + 1].text if index + 1 < len(tokens) else ""
                if index == spot.end and following in INDEFINITE:
                    continue  # "The ridge bears a nodule": what it does, not where it is.
                why = f"“{tokens[index].text}” beside it was not understood"
                draft.doubt(name, why)
                within = index == spot.end and not tokens[index].pause
                if name == "side" and within and draft.get("subsite") is None:
                    draft.doubt("subsite", why)  # "Right malar skin": a part of it?


def lost_part(
    tokens: Sequence[Token], draft: Draft, free: frozenset[str], harmless: frozenset[str]
) -> None:
    """Words beside a place that were not heard well, or not understood, may name its part.

    So may a small word of it: "on the right" for "lower right". A word that was not understood
    is not asked about where it stands apart from the place, and was surely heard, also among
    the words heard without the vocabulary's help (`free`): "wipes off with gauze". Nor is one
    that is `harmless`.
    """
    spots = [s for name in ("region", "subsite", "side") for s in draft.evidence.get(name, ())]
    if draft.get("region") is None or not spots:
        return
    first, last = min(s.start for s in spots), max(s.end for s in spots)
    apart = {
        token.text
        for index, token in enumerate(tokens)
        if not first - thresholds.APART <= index < last + thresholds.APART
        and token.confidence >= thresholds.SURE_WORD
        and token.text in free
    }
    odd = [word for word in draft.unknown if word not in apart and word not in harmless]
    if odd and draft.get("subsite") is None:
        draft.doubt("subsite", f"“{odd[0]}” was not understood: a part of it?")
    taken = {index for spot in draft.spots() for index in range(spot.start, spot.end)}
    beside = {*range(max(0, first - 2), first), last} - taken
    small = {
        index for s in spots for index in range(s.start, s.end) if tokens[index].text in _SMALL
    }
    near = [tokens[index] for index in sorted(beside | small) if index < len(tokens)]
    weak = [
        each.text for each in near if each.confidence < thresholds.WEAK_BESIDE or each.text == "or"
    ]
    if weak:
        draft.doubt("subsite", f"“{weak[0]}” beside it was not heard well: a part of it?")


def _swapped(confusion: Confusion) -> Iterator[tuple[str, str]]:
    """Pairs of single words; of "hard palate" and "soft palate" the words that differ."""
    for one, other in permutations(confusion.words, 2):
        words, others = one.split(), other.split()
        if len(words) != len(others):
            continue
        differing = [pair for pair in zip(words, others, strict=True) if pair[0] != pair[1]]
        if len(differing) == 1:
            yield differing[0]


def _telling(tokens: Sequence[Token], draft: Draft, name: str) -> Iterator[int]:
    """Indices of the tokens that a field rests on, small words left out."""
    for spot in draft.evidence.get(name, ()):
        for index in range(spot.start, min(spot.end, len(tokens))):
            if tokens[index].text not in _SMALL:
                yield index


def _offer(
    tokens: Sequence[Token],
    index: int,
    other: str,
    draft: Draft,
    name: str,
    ordinal: int,
    again: Again,
) -> None:
    """Offer the value that the field has with the other word in that place."""
    words = tuple(other if at == index else token.text for at, token in enumerate(tokens))
    drafts = [each.draft for each in again(words) if each.recorded and each.draft is not None]
    value = drafts[ordinal].get(name) if ordinal < len(drafts) else None
    if value is not None and value != draft.get(name):
        draft.offer(name, value, 100.0 * tokens[index].confidence)
