"""Whether every word for a side or a part went into the record; what did not is asked about.

A side or part that became a remark, a tooth or a landmark may have been meant of the finding:
where the finding has none of its own, or another one, that is a question.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from dictate.matching import grammar, turns
from dictate.matching.draft import Draft
from dictate.matching.negation import Sentence
from dictate.matching.outcome import Outcome
from dictate.matching.spots import Mark, Spot
from dictate.vocabulary.schema import Slot

_SIDES = frozenset({"left", "right"})
_PARTS = grammar.word_set("""
    upper lower maxillary mandibular anterior posterior buccal lingual labial palatal ventral
    dorsal inner outer back front mid
    """)
"""Words for parts by which one place is taken for another."""
_WORN = (("denture",), ("dentures",), ("plate",), ("prosthesis",))
"""What is worn: "under the upper denture" tells no part."""
_PLACED = ("region", "subsite", "side", "node_level")


def account(sentence: Sentence, outcomes: Sequence[Outcome]) -> None:
    """Doubt the site of the findings beside which a word for one was left over."""
    drafts = [each.draft for each in outcomes if each.recorded and each.draft is not None]
    if not drafts:
        return
    named = {spot.said for o in outcomes if o.place is not None for spot in o.place.spots}
    used = {at for outcome in outcomes for at in _used(outcome)}
    used |= {at for spot in sentence.spots for each in spot.taken_back for at in _over(each)}
    for spot in sentence.spots:
        if not _loose(spot) or turns.DISCOURSE.end(sentence.words, spot.start) == spot.end:
            continue
        if spot.said in named:
            continue  # It was taken back, and said again.
        words = _SIDES if spot.mark is Mark.TOOTH else _SIDES | _PARTS
        for at in _over(spot):
            denture = sentence.words[at + 1 : at + 2] in _WORN
            if at not in used and sentence.words[at] in words and not denture:
                _ask(sentence.words[at], _nearest(drafts, at))


def _used(outcome: Outcome) -> Iterable[int]:
    spots: list[Spot] = list(outcome.place.spots) if outcome.place is not None else []
    if outcome.draft is not None:
        spots += [s for name in _PLACED for s in outcome.draft.evidence.get(name, ())]
    return (at for spot in spots for at in _over(spot))


def _over(spot: Spot) -> range:
    return range(spot.start, spot.end)


def _loose(spot: Spot) -> bool:
    """True for words that nothing has been made of but a remark."""
    if spot.negated or spot.slot in (Slot.SIDE, Slot.REGION, Slot.SUBSITE, Slot.NODE_LEVEL):
        return False
    return spot.mark in (Mark.UNKNOWN, Mark.FUNCTION, Mark.TOOTH) or spot.slot in (
        Slot.NOTE,
        Slot.FILLER,
    )


def _nearest(drafts: Sequence[Draft], at: int) -> Draft:
    return min(drafts, key=lambda draft: min(_distances(draft, at), default=len(drafts) * 100))


def _distances(draft: Draft, at: int) -> Iterable[int]:
    return (min(abs(at - s.start), abs(at - s.end)) for s in draft.spots())


def _ask(word: str, draft: Draft) -> None:
    why = f"“{word}” was said beside it: of its place?"
    if word in _SIDES and draft.get("side") not in (word, "bilateral"):
        draft.doubt("side", why)
    if word in _PARTS and word not in str(draft.get("subsite") or ""):
        draft.doubt("subsite", why)
