"""Questions about a whole utterance: what was measured, and whether every size was kept."""

from __future__ import annotations

from collections.abc import Sequence

from dictate.matching import grammar
from dictate.matching.draft import Draft
from dictate.matching.negation import Sentence
from dictate.matching.outcome import Outcome
from dictate.matching.spots import Spot
from dictate.vocabulary.schema import Slot

MEASURED = grammar.word_set("""
    pocket pockets probing gap incision stitch suture needle root post implant clearance
    overjet overbite opening interincisal distance
    """)
"""What else is measured in the mouth, in the same breath as a lesion."""
_ROUND_IT = grammar.word_set(
    "margin margins rim halo clearance away apart distant depth deep depths"
)
"""Words that, right after a size, say that it is not how wide the lesion is."""
_TWO_SIZES = "two sizes were said"
_BOTH = ("left", "right")


def caution(sentence: Sentence, outcomes: Sequence[Outcome]) -> None:
    """Add to the drafts of an utterance what is doubtful about it as a whole."""
    drafts = [each.draft for each in outcomes if each.draft is not None and each.what != "aside"]
    _something_else(sentence, drafts)
    _kept_by_one(drafts)
    _each_or_both(sentence, drafts)


def measures_else(sentence: Sentence) -> str:
    """The word for what else was measured ("pocket"); empty when there is none."""
    words = sentence.words
    sized = [s for s in sentence.spots if s.size is not None and s.size.led]
    told = [s.start for s in sentence.spots if s.slot in (Slot.KIND, Slot.NORMAL_VARIANT)]
    tooth = [
        w for at, w in enumerate(words[1:]) if w == "length" and words[at] in ("tooth", "root")
    ]
    near = [w for w in words if w in MEASURED] + tooth
    if sized and near:
        return near[0]
    for spot in sized:
        near_by = range(spot.end, min(spot.end + 3, len(words)))
        at = next((index for index in near_by if words[index] in _ROUND_IT), None)
        if at is None or _within(told, spot):
            continue
        if not sentence.pauses.intersection(range(spot.end, at + 1)):
            return words[at]
    return ""


def _within(told: Sequence[int], size: Spot) -> bool:
    """ "Five millimetre ulcer margins red": the size goes with the lesion named at once."""
    return any(size.end <= start < size.end + 2 for start in told)


def _something_else(sentence: Sentence, drafts: Sequence[Draft]) -> None:
    word = measures_else(sentence)
    for draft in drafts:
        if word and draft.get("size_mm"):
            draft.doubt("size_mm", f"“{word}” was said: is it the size of the lesion?")


def _kept_by_one(drafts: Sequence[Draft]) -> None:
    """Two sizes at one finding and none at another: one may be the other's."""
    if not any(("size_mm", _TWO_SIZES) in draft.doubts for draft in drafts):
        return
    for draft in drafts:
        if not draft.get("size_mm"):
            draft.doubt("size_mm", "two sizes were said of another finding: is one of them its?")


def _each_or_both(sentence: Sentence, drafts: Sequence[Draft]) -> None:
    """ "Two millimetres left, and right one": both sides, or each for itself?"""
    for spot in sentence.spots:
        if spot.slot is not Slot.SIDE or not set(_BOTH) <= set(spot.said):
            continue
        if not sentence.pauses.intersection(range(spot.start + 1, spot.end)):
            continue
        for draft in drafts:
            if draft.get("side") == "bilateral":
                draft.doubt("side", f"“{' '.join(spot.said)}”: both at once, or each for itself?")
