"""Which spots a "no" or "without" reaches, and which are only possible or past.

A negation reaches the next telling spot: an adjective takes its noun along ("no white
patches"), and a list goes on while "or" or "nor" still comes ("no ulceration or bleeding").
It ends at "but", at a place, and at a comma that no "or" follows ("not fixed, mobile").
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from dictate.matching import grammar
from dictate.matching.repairs import repaired
from dictate.matching.spots import Mark, Spot
from dictate.matching.unseen import nil, numbered, unseen
from dictate.vocabulary.schema import Slot

DESCRIBING = frozenset(
    {
        Slot.COLOUR,
        Slot.SURFACE,
        Slot.BORDER,
        Slot.CONSISTENCY,
        Slot.DISTRIBUTION,
        Slot.MOBILITY,
        Slot.ATTACHMENT,
        Slot.TENDER,
        Slot.NOTE,
        Slot.CHANGE,
    }
)
_NAMING = frozenset({Slot.KIND, Slot.NORMAL_VARIANT, Slot.SYMPTOM})
_REACHED = DESCRIBING | _NAMING | {Slot.WIPES_OFF, Slot.SIDE, Slot.REGION, Slot.SUBSITE}
_LISTED = DESCRIBING | _NAMING | {Slot.WIPES_OFF}
_PLACES = frozenset({Slot.SIDE, Slot.REGION, Slot.SUBSITE, Slot.NODE_LEVEL})
_ONE_WORD = frozenset({"non"})
_PREFERRING = frozenset({"rather", "instead", "opposed", "as"})
"""First words of "rather than", "as opposed to": what stands after them is not so."""
_OPENERS = frozenset({"no", "not", "without", "denies", "does", "cannot", "will", "did"})
"""First words of phrases that carry their own "no": the list after them is denied as well."""
_NOUN_ENDINGS = ("ness", "tion", "ity")
_OVER_SIDES = (("no",), ("neither",))
"""What denies over a place: "no left sided lesion", "neither parotid is enlarged"."""
_AND_LISTS = frozenset({Slot.SYMPTOM, Slot.KIND})


@dataclass(frozen=True, slots=True)
class Sentence:
    """An utterance's words, where they pause, and what was spotted in them."""

    words: tuple[str, ...]
    pauses: frozenset[int]
    """Indices of words with punctuation before them."""
    spots: tuple[Spot, ...]
    stops: frozenset[int] = frozenset()
    """Indices of words before which a sentence ends; each is a pause too."""

    def said(self, spot: Spot) -> tuple[str, ...]:
        return self.words[spot.start : spot.end]

    def begins(self, index: int) -> int:
        """Where the part between pauses begins that the word at `index` stands in."""
        return max((at for at in self.pauses if at <= index), default=0)


def scoped(sentence: Sentence) -> Sentence:
    """The sentence with every spot in reach of a negation marked as negated."""
    spots = repaired(tuple(_taken_back(sentence)), sentence.pauses)
    spots = tuple(nil(tuple(unseen(spots, sentence.words)), sentence.pauses))
    spots = tuple(numbered(spots, sentence.pauses, sentence.stops))
    sentence = replace(sentence, spots=spots)
    reached: set[int] = set()
    for index, spot in enumerate(sentence.spots):
        if spot.mark is Mark.NEGATION and sentence.said(spot) != ("absent",):
            reached.update(_reach(sentence, index))
        elif spot.slot in _LISTED | {Slot.NORMAL} and sentence.said(spot)[0] in _OPENERS:
            reached.update(_list_from(sentence, index, noun=False))
        if spot.said == ("nothing",) and _nothing_so(sentence, index):
            reached.add(index + 1)
        if spot.mark in (Mark.UNKNOWN, Mark.NEGATION) or spot.said == ("none",):
            reached.update(_before(sentence, index))
    spots = tuple(
        replace(spot, negated=True) if index in reached else spot
        for index, spot in enumerate(sentence.spots)
    )
    return replace(sentence, spots=spots)


def _nothing_so(sentence: Sentence, index: int) -> bool:
    """ "Nothing hard in it": what describes right after "nothing" is not so."""
    after = sentence.spots[index + 1 : index + 2]
    described = any(each.slot in DESCRIBING - {Slot.NOTE, Slot.CHANGE} for each in after)
    return described and after[0].start not in sentence.pauses


def _taken_back(sentence: Sentence) -> Iterator[Spot]:
    """ "Left, no, right": a "no" that stands by itself takes back what was said."""
    for spot in sentence.spots:
        alone = sentence.said(spot) == ("no",) and spot.end in sentence.pauses and spot.start > 0
        if alone and _answers(sentence, spot.start):
            yield replace(spot, mark=Mark.FUNCTION)
            continue
        bare = sentence.said(spot) == ("no",)
        alone = alone or (bare and (_between_sides(sentence, spot) or _levels(sentence, spot)))
        yield replace(spot, mark=Mark.REPAIR) if alone else spot


def _answers(sentence: Sentence, index: int) -> bool:
    """ "Does that hurt, no": the answer to a question asks nothing back."""
    start = sentence.begins(index - 1)
    asked = sentence.words[start:index]
    return (
        asked[:1] != ()
        and asked[0] in grammar.AUXILIARIES
        and asked[1:2] != ()
        and (asked[1] in grammar.SUBJECTS)
    )


def _between_sides(sentence: Sentence, spot: Spot) -> bool:
    """ "On the right, no left, buccal mucosa": but "right, no left sided lesion" denies one."""
    at = sentence.spots.index(spot)
    around = (*sentence.spots[:at][-1:], *sentence.spots[at + 1 : at + 2])
    values = {each.phrase.value for each in around if each.slot is Slot.SIDE and each.phrase}
    after = sentence.spots[at + 2] if at + 2 < len(sentence.spots) else None
    return values == {"left", "right"} and not (after is not None and after.slot in _NAMING)


def _levels(sentence: Sentence, spot: Spot) -> bool:
    """ "Level four, no level five, left": but "no level five node" denies one."""
    at = sentence.spots.index(spot)
    around = (*sentence.spots[:at][-1:], *sentence.spots[at + 1 : at + 2])
    after = sentence.spots[at + 2 : at + 3]
    both = len(around) == 2 and all(each.slot is Slot.NODE_LEVEL for each in around)
    return both and not any(each.slot in _NAMING | _PLACES - {Slot.SIDE} for each in after)


def _reach(sentence: Sentence, negator: int) -> list[int]:
    said = sentence.said(sentence.spots[negator])
    first = _next(sentence, negator + 1, over_sides=said in _OVER_SIDES)
    if first is None:
        return []
    if said[0] in _ONE_WORD or (said[-1] in ("than", "of", "to") and said[0] in _PREFERRING):
        return [first]
    return [first, *_list_from(sentence, first, noun="not" not in said)]


def _list_from(sentence: Sentence, index: int, *, noun: bool) -> list[int]:
    """The rest of a negated list whose first spot is at `index`.

    With `noun`, an adjective takes its noun along: "no white patch", but "not tender ulcer".
    """
    reached: list[int] = []
    following = _continues(sentence, index, noun=noun)
    while following is not None:
        reached.append(following)
        following = _continues(sentence, following, noun=noun)
    return reached


def _next(sentence: Sentence, index: int, *, over_sides: bool = False) -> int | None:
    """The first telling spot from `index`, over small words; None at a break.

    "No left sided lesion" denies the lesion, and "left, no, right" denies no side at all.
    """
    for place in range(index, len(sentence.spots)):
        spot = sentence.spots[place]
        if over_sides and spot.slot in _PLACES:
            if spot.start in sentence.pauses:
                return None
            continue
        if spot.slot in _PLACES and spot.start in sentence.pauses:
            return None  # "Nodes on the left not felt, right node one centimetre".
        if spot.slot in _REACHED and not spot.negated:
            return place
        if not _small(sentence, spot) or spot.start in sentence.pauses:
            return None
    return None


def _continues(sentence: Sentence, index: int, *, noun: bool) -> int | None:
    """The next spot of the negated noun or list after `index`, if it goes on."""
    here = sentence.spots[index]
    if here.slot in _PLACES:
        return None
    joints: list[str] = []
    for place in range(index + 1, len(sentence.spots)):
        spot = sentence.spots[place]
        joints += ["," for _ in (1,) if spot.start in sentence.pauses]
        if spot.slot in _LISTED:
            if sentence.said(spot)[0] in _OPENERS:
                return None
            if noun and _is_its_noun(sentence, here, spot):
                return place
            return place if _goes_on(sentence, here, spot, place, joints) else None
        said = sentence.said(spot)
        if spot.mark is Mark.NEGATION or not (_small(sentence, spot) or spot.said == ("it",)):
            return None
        if any(word in grammar.BUT for word in said):
            return None
        joints += [word for word in said if word in grammar.OR | grammar.AND]
    return None


def _goes_on(
    sentence: Sentence, here: Spot, there: Spot, place: int, joints: Sequence[str]
) -> bool:
    if any(joint in grammar.OR for joint in joints):
        return True
    if "and" in joints and "," in joints and _placed_after(sentence, place):
        return False  # "No crepitus, and a papule on the left lip": it is there.
    if "and" in joints:
        return here.slot == there.slot and here.slot in _AND_LISTS
    if joints and joints != [","]:
        return False
    return _or_follows(sentence, place)


def _placed_after(sentence: Sentence, place: int) -> bool:
    for spot in sentence.spots[place + 1 :]:
        if spot.slot in _PLACES or spot.size is not None:
            return True
        if not _small(sentence, spot):
            return False
    return False


def _is_its_noun(sentence: Sentence, adjective: Spot, noun: Spot) -> bool:
    """True if the second belongs to the first as "patches" to "white" in "white patches"."""
    if adjective.end != noun.start or adjective.slot not in DESCRIBING:
        return False
    noun_like = sentence.said(adjective)[-1].endswith(_NOUN_ENDINGS)
    return not noun_like and noun.slot in _NAMING | DESCRIBING


def _or_follows(sentence: Sentence, index: int) -> bool:
    """True if the list at `index` is still joined by "or" before anything else comes."""
    for spot in sentence.spots[index + 1 :]:
        said = sentence.said(spot)
        if any(word in grammar.OR for word in said):
            return True
        if spot.slot not in _LISTED and said != ("any",):
            return False
    return False


def _before(sentence: Sentence, index: int) -> list[int]:
    """ "tenderness absent": the spot right before a word that denies it."""
    spot = sentence.spots[index]
    said = sentence.said(spot)
    if said[-1] not in grammar.NEGATED_BEFORE or index == 0:
        return []
    if spot.mark is Mark.NEGATION and _next(sentence, index + 1) is not None:
        return []
    before = index - 1
    while before > 0 and _small(sentence, sentence.spots[before]):
        before -= 1
    return [before] if sentence.spots[before].slot in _LISTED else []


def _small(sentence: Sentence, spot: Spot) -> bool:
    """True if the spot is only function words or fillers."""
    if spot.mark is Mark.FUNCTION:
        return not any(word in grammar.BUT for word in sentence.said(spot))
    return spot.slot is Slot.FILLER or (
        spot.mark is Mark.UNKNOWN and sentence.said(spot)[0] in ("palpable", "visible", "obvious")
    )
