"""Questions about a whole utterance: what was measured, and whether every size was kept."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from dictate.matching import grammar
from dictate.matching.draft import SITE_FIELDS, Draft
from dictate.matching.negation import Sentence
from dictate.matching.numbers import NUMBER_WORDS
from dictate.matching.outcome import Outcome
from dictate.matching.place import SITES
from dictate.matching.spots import Mark, Spot
from dictate.matching.then_and_now import of_now
from dictate.vocabulary.schema import Slot

MEASURED = grammar.word_set("""
    pocket pockets probing gap incision stitch suture needle root implant clearance
    overjet overbite opening opens opened interincisal distance aperture
    """)
"""What else is measured in the mouth, in the same breath as a lesion."""
_ROUND_IT = grammar.word_set(
    "margin margins rim halo clearance away apart distant depth deep depths"
)
"""Words that, right after a size, say that it is not how wide the lesion is."""
_CHANGED = grammar.word_set("""
    grown grew grows increased decreased shrunk shrank elevated raised extending extends extend
    extended projecting protrudes protruding
    """)
_THAN_BEFORE = grammar.word_set("bigger larger smaller more less wider longer")
_TOWARDS = grammar.word_set("posterior anterior lateral medial distal mesial back further down up")
_EARLIER = (
    *(("last", each) for each in ("time", "visit", "month", "week", "year", "summer")),
    *(("used", "to", "be"), ("previously",), ("formerly",), ("originally",), ("initially",)),
    *(("before",), ("earlier",), ("at", "first"), ("had", "been")),
)
"""Words of what was measured at an earlier time."""
_PARTS = grammar.word_set("""
    third thirds fifth fifths sixth sixths eighth eighths tenth tenths sixteenth sixteenths
    """)
_GONE = "resolved"
_THAT_WAS = frozenset({("that", "was"), ("which", "was")})
_UNDER = frozenset({"under", "underneath"})
_THERE = grammar.word_set("at on in by behind beside next up under across through where near along")
_TWO_SIZES = "two sizes were said"
_BOTH = ("left", "right")
_OF_IT = (("of", "it"), ("of", "that"), ("of", "this"))


def caution(sentence: Sentence, outcomes: Sequence[Outcome]) -> None:
    """Add to the drafts of an utterance what is doubtful about it as a whole."""
    drafts = [each.draft for each in outcomes if each.draft is not None and each.what != "aside"]
    _something_else(sentence, drafts)
    _not_of_now(sentence, drafts)
    _lost(sentence, drafts)
    _broken(sentence, drafts)
    _under_the_tongue(sentence, drafts)
    _kept_by_one(drafts)
    _past_unknown(drafts)
    _each_or_both(sentence, drafts)
    _exactly_there(sentence, drafts)
    _left_of_it(sentence, drafts)
    _each_its_own(sentence, drafts)
    _taken_back(sentence, [o.draft for o in outcomes if o.what == "finding" and o.draft])


def measures_else(sentence: Sentence) -> str:
    """The word for what else was measured ("pocket"); empty when there is none."""
    words = sentence.words
    sized = [s for s in sentence.spots if s.size is not None and s.size.led]
    told = [s.start for s in sentence.spots if s.slot in (Slot.KIND, Slot.NORMAL_VARIANT)]
    tooth = [
        w for at, w in enumerate(words[1:]) if w == "length" and words[at] in ("tooth", "root")
    ]
    free = _free(sentence)
    marks = (s for s in sentence.spots if s.mark is Mark.LANDMARK)
    beside = {at for mark in marks for at in range(mark.start, mark.end)}
    near = [words[at] for at in free if words[at] in MEASURED and at not in beside] + tooth
    if sized and near:
        return near[0]
    for spot in sized:
        if words[spot.end : spot.end + 1] == ("of",) and spot.end + 1 in _unknown(sentence):
            return words[spot.end + 1]
        near_by = range(spot.end, min(spot.end + 3, len(words)))
        led = words[max(0, spot.start - 1) : spot.end]
        whole = led[0] in grammar.INDEFINITE or led[1:2] in (("a",), ("an",))
        round_it = (at for at in near_by if words[at] in _ROUND_IT and (whole or at in free))
        at = next(round_it, None)
        if at is None or _within(told, spot):
            continue
        if not sentence.pauses.intersection(range(spot.end, at + 1)):
            return words[at]
    return ""


def _unknown(sentence: Sentence) -> set[int]:
    """Where words stand that the vocabulary does not know."""
    return {spot.start for spot in sentence.spots if spot.mark is Mark.UNKNOWN}


def _free(sentence: Sentence) -> list[int]:
    """The words that stand in no phrase of the vocabulary that describes or places."""
    spots = [s for s in sentence.spots if s.slot in (None, Slot.FILLER)]
    return [at for spot in spots for at in range(spot.start, spot.end)]


def _within(told: Sequence[int], size: Spot) -> bool:
    """ "Five millimetre ulcer margins red": the size goes with the lesion named at once."""
    return any(size.end <= start < size.end + 2 for start in told)


def _something_else(sentence: Sentence, drafts: Sequence[Draft]) -> None:
    word = measures_else(sentence)
    for draft in drafts:
        if word and draft.get("size_mm"):
            draft.doubt("size_mm", f"“{word}” was said: is it the size of the lesion?")


def _not_of_now(sentence: Sentence, drafts: Sequence[Draft]) -> None:
    """ "It was eight last month", "grown by three", "an eighth of an inch"."""
    for draft in drafts:
        for spot in draft.evidence.get("size_mm", ()):
            why = _otherwise(sentence, spot) if spot.size is not None else ""
            if draft.get("change") == _GONE:
                why = why or " ".join(draft.evidence["change"][0].said)
            if why:
                draft.doubt("size_mm", f"“{why}” was said: is it the size of the lesion now?")


def _otherwise(sentence: Sentence, size: Spot) -> str:
    words = sentence.words
    before = words[max(0, size.start - 3) : size.start]
    if before[-1:] in (("by",), ("from",)) or before[-2:] in _THAT_WAS:
        return " ".join((*before, *size.said))
    if _CHANGED.intersection(before[-1:]) and size.start not in sentence.pauses:
        return before[-1]
    free = {*_free(sentence), *range(size.start, size.end)}
    if any(words[at] in _PARTS and at in free for at in range(max(0, size.start - 2), size.end)):
        return " ".join((*before, *size.said))
    after = words[size.end : size.end + 2]
    named = any(spot.slot in (Slot.KIND, Slot.NORMAL_VARIANT) for spot in sentence.spots)
    if _THAN_BEFORE.intersection(after[:1]) and not named:
        return after[0]
    if after[1:] == ("from",) and after[0] in _TOWARDS:
        return " ".join((*size.said, *after))
    if of_now(sentence, size):
        return ""
    return next((" ".join(run) for run in _EARLIER if _runs(sentence, run)), "")


def _runs(sentence: Sentence, run: tuple[str, ...]) -> bool:
    words, free = sentence.words, set(_free(sentence))
    return any(
        words[at : at + len(run)] == run and at in free for at in range(len(words) - len(run) + 1)
    )


def _lost(sentence: Sentence, drafts: Sequence[Draft]) -> None:
    """A size that went nowhere ("where the right one is normal, seven millimetres")."""
    held = {spot.start for draft in drafts for spot in draft.evidence.get("size_mm", ())}
    asked = any(name == "size_mm" for draft in drafts for name, _ in draft.doubts)
    noted = " ".join(note for draft in drafts for note in draft.notes)
    for spot in sentence.spots:
        if spot.size is None or not spot.size.led or spot.start in held or asked:
            continue
        said = " ".join(sentence.said(spot))
        for draft in drafts:
            told = said in noted and said not in " ".join(draft.notes)
            if not told and not draft.get("size_mm"):
                draft.doubt("size_mm", f"“{said}” was said: is it its size?")


def _broken(sentence: Sentence, drafts: Sequence[Draft]) -> None:
    """ "Twenty, two millimetres": twenty-two, or two figures?"""
    words = sentence.words
    for draft in drafts:
        for spot in draft.evidence.get("size_mm", ()):
            breaks = sentence.pauses.intersection(range(spot.start + 1, spot.end))
            cut = [at for at in breaks if {words[at - 1], words[at]} <= NUMBER_WORDS]
            if cut:
                said = f"{words[cut[0] - 1]}, {words[cut[0]]}"
                draft.doubt("size_mm", f"“{said}”: one figure, or two?")


def _under_the_tongue(sentence: Sentence, drafts: Sequence[Draft]) -> None:
    """ "Under the left side of the tongue": on the tongue, or on the floor of the mouth?"""
    words = sentence.words
    under = any(
        word in _UNDER and "tongue" in words[at + 1 : at + 8] for at, word in enumerate(words)
    )
    for draft in drafts:
        if under and draft.get("region") == "tongue" and draft.get("subsite") is None:
            draft.doubt("region", "“under the tongue”: its underside, or the floor of the mouth?")
            draft.offer("region", "floor of mouth", 100.0)


def _kept_by_one(drafts: Sequence[Draft]) -> None:
    """Two sizes at one finding and none at another: one may be the other's."""
    if not any(("size_mm", _TWO_SIZES) in draft.doubts for draft in drafts):
        return
    for draft in drafts:
        if not draft.get("size_mm"):
            draft.doubt("size_mm", "two sizes were said of another finding: is one of them its?")


def _past_unknown(drafts: Sequence[Draft]) -> None:
    """ "Tongue left ulcer; floor right ulcer": a word not understood may be the second's place."""
    for before, draft in pairwise(drafts):
        told = draft.evidence.get("region") or draft.evidence.get("subsite")
        if before.unknown and draft.get("region") == before.get("region") and not told:
            draft.doubt("region", f"“{before.unknown[-1]}” before it was not understood")


def _each_its_own(sentence: Sentence, drafts: Sequence[Draft]) -> None:
    """ "Left and right, seven and four millimetres respectively": which belongs to which?"""
    if "respectively" in sentence.words:
        for draft in drafts:
            for name in ("side", "size_mm"):
                draft.doubt(name, "“respectively” was said: which belongs to which?")


def _left_of_it(sentence: Sentence, drafts: Sequence[Draft]) -> None:
    """ "Upper frenum, ulcer to the left of it": beside it, or on it?"""
    words = sentence.words
    for draft in drafts:
        part = draft.get("subsite")
        for spot in draft.evidence.get("side", ()) if part else ():
            if words[spot.end : spot.end + 2] in _OF_IT and spot.said[-1] in _BOTH:
                draft.doubt("subsite", f"beside the {part}, or on it?")


def _exactly_there(sentence: Sentence, drafts: Sequence[Draft]) -> None:
    """ "Ulcer right at the back of the palate": the right side, or exactly there?"""
    words = sentence.words
    for draft in drafts:
        for spot in draft.evidence.get("side", ()):
            after = words[spot.end : spot.end + 1]
            led = words[spot.start - 1 : spot.start] in (("the",), ("on",), ("to",), ("side",))
            if spot.said != ("right",) or led or spot.end in sentence.pauses:
                continue
            named = any(s.start == spot.end and s.slot in SITES for s in sentence.spots)
            if _THERE.intersection(after) and not named:
                draft.doubt("side", f"“right {after[0]}”: the right side, or exactly there?")


def _taken_back(sentence: Sentence, drafts: Sequence[Draft]) -> None:
    """ "Level three node. No wait, level two, hard": a second finding, or the first put right?"""
    for repair in sentence.spots:
        if repair.mark is not Mark.REPAIR or repair.start not in sentence.pauses:
            continue
        for before, draft in pairwise(drafts):
            starts, after = _placed_at(before), _placed_at(draft)
            if not (starts and after and max(starts) < repair.start <= min(after)):
                continue
            why = f"“{' '.join(repair.said)}” was said after it: does the next take its place?"
            for name in ("kind", "region", "side", "size_mm"):
                if before.get(name) is not None:
                    before.doubt(name, why)


def _placed_at(draft: Draft) -> list[int]:
    """Where the words for its place and size begin."""
    names = (*SITE_FIELDS, "size_mm")
    return [spot.start for name in names for spot in draft.evidence.get(name, ())]


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
