"""Times that are not how long a lesion has been there: of a visit, a medicine, a habit."""

from __future__ import annotations

from dictate.matching import grammar
from dictate.matching.negation import DESCRIBING, Sentence
from dictate.matching.spots import Mark, Spot
from dictate.vocabulary.schema import Slot

_APPOINTMENTS = grammar.word_set("check follow followup review recall recheck reviewed")
_HABITS = grammar.word_set("""
    chewing chews chewed smoking smokes smoked smoker vaping vapes drinking drinks wearing wears
    worn
    """)
"""What is done for a time, which is not how long a lesion has been there."""
_TAKEN = frozenset({"on", "taking", "takes", "taken", "using"})
_FOR = (("for",), ("since",))
_IN_TIME = (("in",), ("at",), ("after",), ("within",))
_COMING = frozenset({"in", "within"})


def of_another_time(sentence: Sentence, spot: Spot) -> bool:
    """True if the duration is of something else ("review in six weeks", "than last year")."""
    than = sentence.words[spot.start - 1 : spot.start] == ("than",)
    return than or any(of(sentence, spot) for of in (_of_appointment, _of_medicine, _of_habit))


def _of_appointment(sentence: Sentence, spot: Spot) -> bool:
    """ "Six week follow up", "review in six weeks": no time that the lesion has been there."""
    words, pauses = sentence.words, sentence.pauses
    if words[spot.end : spot.end + 1] and words[spot.end] in _APPOINTMENTS:
        return spot.end not in pauses
    start = sentence.begins(spot.start)
    before = words[max(0, spot.start - 1) : spot.start]
    led = before in _IN_TIME or spot.said[0] in _COMING or bool(_APPOINTMENTS & {*before})
    return led and bool(_APPOINTMENTS.intersection(words[start : spot.start]))


def _of_medicine(sentence: Sentence, spot: Spot) -> bool:
    """ "On amlodipine for six years": how long something has been taken."""
    before = [each for each in sentence.spots if each.end <= spot.start][-2:]
    if len(before) < 2 or before[1].end != spot.start or spot.start in sentence.pauses:
        return False
    led = before[0].said[-1] in _TAKEN and before[0].end == before[1].start
    return led and before[1].mark is Mark.UNKNOWN and spot.said[:1] in _FOR


def _of_habit(sentence: Sentence, spot: Spot) -> bool:
    """ "Has been chewing areca nut for fifteen years"."""
    words, spots = sentence.words, sentence.spots
    begins = sentence.begins(spot.start)
    habits = [at for at in range(begins, spot.start) if words[at] in _HABITS]
    between = [s for s in spots if habits and habits[-1] < s.start < spot.start]
    told = DESCRIBING | {Slot.KIND, Slot.NORMAL_VARIANT, Slot.SYMPTOM}
    return bool(habits) and not any(s.slot in told - {Slot.NOTE} for s in between)
