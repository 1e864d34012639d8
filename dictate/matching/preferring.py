"""Which of several readings of the same sound makes the best sense.

A complete finding beats words that fit nothing: the n-best list is rescored by what each reading
means, alone. Only readings that ask for the same things are exchanged, and the one that was
first stays a witness: where it differs in a side, a site or a size, that is asked about.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

from dictate.exam.commands import AddDetail, AddFinding
from dictate.exam.finding import Doubt
from dictate.matching import thresholds
from dictate.matching.draft import NO_LESION
from dictate.matching.hearing import near
from dictate.matching.reading import Reading
from dictate.speech.heard import Hypothesis, Utterance

Read = Callable[[Utterance], Reading]


def preferred(utterance: Utterance, read: Read) -> Utterance:
    """The utterance with the reading first that makes the best sense.

    `read` is asked for what each reading means by itself. Talk, commands and what is put aside
    are left as they were heard.
    """
    first, *others = utterance.hypotheses
    rivals = list(near(utterance))
    if not rivals or utterance.dictation < thresholds.OFF_DICTATION:
        return utterance
    meant = read(_alone(utterance, first))
    if meant.kind not in ("finding", "normal"):
        return utterance
    best, least = first, _oddity(meant)
    for rival in rivals:
        behind = first.score - rival.score
        if behind >= least:
            continue  # However much sense it makes, it cannot win.
        reading = read(_alone(utterance, rival))
        oddity = _oddity(reading) + behind
        if oddity < least and _asks(reading) == _asks(meant):
            best, least = rival, oddity
    if best is first:
        return utterance
    rest = (each for each in (first, *others) if each is not best)
    return replace(utterance, hypotheses=(best, *rest))


def _alone(utterance: Utterance, hypothesis: Hypothesis) -> Utterance:
    return replace(utterance, hypotheses=(hypothesis,))


def _asks(reading: Reading) -> list[str]:
    """What kinds of things a reading asks for, in order."""
    return [type(command).__name__ for command in reading.commands]


def _doubts(reading: Reading) -> Iterator[Doubt]:
    for command in reading.commands:
        if isinstance(command, AddFinding | AddDetail):
            yield from command.needs_review


def _oddity(reading: Reading) -> float:
    """How little sense it makes, in units of the score."""
    doubts = list(_doubts(reading))
    nameless = any(NO_LESION in doubt.why for doubt in doubts)
    return (
        thresholds.ODD_WORD * len(reading.not_understood)
        + thresholds.ODD_DOUBT * len(doubts)
        + thresholds.ODD_NAMELESS * nameless
    )
