"""Tells dictation from everyday talk: questions, requests and chat make no finding."""

from __future__ import annotations

from itertools import pairwise

from dictate.matching import grammar
from dictate.matching.negation import Sentence
from dictate.matching.numbers import NUMBER_WORDS
from dictate.matching.place import SITES
from dictate.matching.spots import Mark, Spot
from dictate.matching.then_and_now import then_and_now
from dictate.vocabulary.schema import Slot

_REQUESTS = grammar.word_set("""
    open close turn stick put lift tilt relax swallow bite say look push move lean sit breathe
    hold keep try rinse spit smile point poke raise touch show tell let come lie stay bear give
    pull bend take wiggle press nod wait thank thanks hello hi good great perfect excellent lovely
    alright welcome bye goodbye bring call pass hand book
    """)
_PLANS = (
    ("i", "am", "going", "to"),
    ("i", "am", "just", "going"),
    ("we", "are", "going", "to"),
    ("i", "will"),
    ("we", "will"),
    ("i", "would"),
    ("let", "me"),
    ("let", "us"),
)
_LEAVING = frozenset((who, "left") for who in ("he", "she", "they", "we", "i"))
_OWN = frozenset({"my", "mine", "myself"})
_PEOPLE = grammar.word_set("""
    kids children wife husband mother father mum dad mom son daughter sister brother friend
    friends boss everybody everyone somebody someone nobody neighbour grandchildren grandson
    granddaughter uncle aunt cousin colleague colleagues
    """)
_LEFT_OVER = ("left", "over")
_SIDES = (("left",), ("right",))
_OTHERS = (
    ("next", "patient"),
    ("other", "patient"),
    ("last", "patient"),
    ("another", "patient"),
    ("do", "not", "agree"),
    ("had", "a", "patient"),
    ("have", "a", "patient"),
    ("find", "me"),
    ("on", "the", "mannequin"),
    ("on", "the", "phantom"),
    ("on", "the", "model"),
    ("some", "people"),
    ("most", "people"),
    ("many", "people"),
    ("people", "get"),
    ("people", "have"),
    ("looking", "for"),
    ("to", "worry", "about"),
    ("textbooks", "say"),
    ("the", "textbook"),
    ("in", "general"),
    ("we", "refer"),
    ("we", "would", "refer"),
    ("is", "the", "limit"),
)
"""Runs of words that tell of somebody else, of other views, or of rules."""
_SUPPOSING = frozenset({"would", "should"})
_POINTING = frozenset({("this", "is"), ("these", "are"), ("here", "are")})
_ASIDES = (
    {"you", "would", "expect"},
    {"you", "can", "hear"},
    {"you", "can", "feel"},
    {"you", "can", "see"},
    {"you", "see"},
    {"thank", "you"},
)


def why_off_talk(sentence: Sentence) -> str:
    """Why the words are talk and not dictation; empty when they are not."""
    words = sentence.words
    if _is_question(words):
        return "it is a question"
    if _addresses(sentence):
        return "it speaks to the patient"
    if _requests(sentence):
        return "it asks something of the patient"
    if _turned(sentence):
        return "it asks something of the patient"
    if "please" in words and not _lesion(sentence) and not _tells(sentence):
        return "it asks for something"
    if _LEAVING.intersection(pairwise(words)):
        return "somebody left"
    if any(_that_one(words, spot) for spot in sentence.spots) and not _lesion(sentence):
        return "it points at something"
    if _LEFT_OVER in pairwise(words) and not _lesion(sentence):
        return "something was left over"
    if _PEOPLE.intersection(words) and not _lesion(sentence):
        return "it tells of somebody else"
    if any(words[at : at + len(run)] == run for run in _OTHERS for at in range(len(words))):
        return "it tells of others, or of rules"
    if _OWN.intersection(words):
        return "somebody speaks of themselves"
    if _supposes(sentence) and not any(spot.slot in SITES for spot in sentence.spots):
        return "it says what would be, and names no place"
    if words[:2] in _POINTING and not _lesion(sentence):
        return "it shows something to somebody"
    plans = any(words[: len(plan)] == plan for plan in _PLANS)
    if plans and not _puts_it(sentence.spots[0]) and not _lesion(sentence):
        return "it tells what is going to be done"
    return ""


def _turned(sentence: Sentence) -> bool:
    """ "Tongue to the left", "left a bit": where the patient is to move."""
    words = sentence.words
    if words[-3:-2] in _SIDES and words[-2:] in (("a", "bit"), ("a", "little")):
        return not _lesion(sentence)
    to = words[-3:-1] == ("to", "the") and words[-1:] in _SIDES
    named = [spot for spot in sentence.spots if spot.slot in SITES and spot.slot is not Slot.SIDE]
    return to and bool(named) and named[-1].end == len(words) - 3 and not _lesion(sentence)


def _tells(sentence: Sentence) -> bool:
    """True if a region is spoken of ("please note, hard palate normal")."""
    return sentence.words[-1:] != ("please",) and any(
        spot.slot in (Slot.NORMAL, Slot.NOT_EXAMINED, Slot.EXAMINED, Slot.TENDER)
        for spot in sentence.spots
    )


def _supposes(sentence: Sentence) -> bool:
    """True for "would" and "should", but not in "as you would expect", "I would call it"."""
    return any(_SUPPOSING.intersection(spot.said) and not _puts_it(spot) for spot in sentence.spots)


def _puts_it(spot: Spot) -> bool:
    """ "I would call it", "I would put it at": the speaker's way of saying what is there."""
    return spot.end > spot.start + 2 and (spot.slot is Slot.FILLER or spot.mark is Mark.NOT_SURE)


def _that_one(words: tuple[str, ...], spot: Spot) -> bool:
    """ "The white one": one of the things at hand."""
    before, after = words[spot.start - 1 : spot.start], words[spot.end : spot.end + 1]
    return spot.slot is Slot.COLOUR and before == ("the",) and after in (("one",), ("ones",))


def how_often(sentence: Sentence) -> bool:
    """ "Twenty a day", with no lesion: no time that something has been there."""
    words = sentence.words
    return not _lesion(sentence) and any(
        words[at + 1 : at + 2] == ("a",) and words[at + 2 : at + 3] in (("day",), ("week",))
        for at in range(len(words))
        if words[at] in NUMBER_WORDS or words[at] in ("once", "twice", "times")
    )


def understood(sentence: Sentence) -> float:
    """Share of the telling words (no grammar, no fillers) that fit the vocabulary."""
    known = unknown = 0
    timed = then_and_now(sentence)
    for spot in sentence.spots:
        length = spot.end - spot.start
        if spot.mark is Mark.UNKNOWN:
            unknown += length
        elif _telling(spot) or (timed and spot.size is not None):
            known += length
    return known / (known + unknown) if known + unknown else 0.0


def _telling(spot: Spot) -> bool:
    if spot.size is not None:
        return spot.size.led
    if any(phrase.slot is Slot.CARRY and phrase.value == "it" for phrase in spot.phrases):
        return False
    return spot.duration is not None or spot.slot not in (None, Slot.FILLER, Slot.NOTE)


def _is_question(words: tuple[str, ...]) -> bool:
    """ "Does that hurt", "how long has it been there", "any pain": not "is tender"."""
    words = tuple(word for word in words if word not in ("and", "so", "ok", "okay", "now", "well"))
    if words[:2] == ("had", "it") and words[2:3] in (("since",), ("for",)):
        return False
    return grammar.asks(words) or words[:2] == ("which", "of") or words[:1] == ("any",)


def _addresses(sentence: Sentence) -> bool:
    """True if "you" or "your" stands there for itself, and not inside a phrase."""
    for spot in sentence.spots:
        said = set(sentence.said(spot))
        if spot.mark is Mark.REPAIR:
            continue
        if not said & grammar.SECOND_PERSON or any(aside <= said for aside in _ASIDES):
            continue
        if spot.mark is not None or spot.slot is Slot.FILLER:
            return True
    return False


def _requests(sentence: Sentence) -> bool:
    first = next((s for s in sentence.spots if s.mark is not Mark.FUNCTION), None)
    if first is None or first.mark is not Mark.UNKNOWN:
        return False
    return sentence.said(first)[0] in _REQUESTS and not _lesion(sentence)


def _lesion(sentence: Sentence) -> bool:
    return any(spot.slot in (Slot.KIND, Slot.NORMAL_VARIANT) for spot in sentence.spots)
