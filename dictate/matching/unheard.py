"""Content that the engine heard without the vocabulary's help, and lost with it.

A command or a statement about a region must not pass quietly when the free hearing of the
same sound names a lesion, a description or a figure that the reading lacks: a finding may
have been cut short.
"""

from __future__ import annotations

from dataclasses import replace

from dictate.exam.commands import ChangeField, Command, MarkRegion
from dictate.matching.negation import Sentence
from dictate.matching.reading import Reading
from dictate.vocabulary.schema import Slot

_CONTENT = frozenset(
    {
        Slot.KIND,
        Slot.COLOUR,
        Slot.SURFACE,
        Slot.BORDER,
        Slot.CONSISTENCY,
        Slot.MOBILITY,
        Slot.TENDER,
        Slot.ATTACHMENT,
        Slot.WIPES_OFF,
        Slot.SYMPTOM,
        Slot.NORMAL_VARIANT,
        Slot.LENGTH_UNIT,
    }
)
_DENIALS = frozenset({"no", "not", "abnormal", "never", "except", "without"})


def with_unheard(reading: Reading, heard: tuple[str, ...], free: Sentence) -> Reading:
    """The reading, with the lost words kept in it and its marks in doubt.

    `heard` are the words of the reading, `free` those heard without the vocabulary. Findings
    and corrections are left alone: their fields are held against the free hearing one by one.
    """
    if reading.kind not in ("normal", "command") or _corrects(reading):
        return reading
    lost = _lost(heard, free)
    if not lost:
        return reading
    why = f"“{' '.join(lost)}” may have been said as well"
    commands = tuple(_doubted(each, why) for each in reading.commands)
    return replace(reading, commands=commands, not_understood=(*reading.not_understood, *lost))


def _corrects(reading: Reading) -> bool:
    return any(isinstance(each, ChangeField) for each in reading.commands)


def _lost(heard: tuple[str, ...], free: Sentence) -> tuple[str, ...]:
    """Telling words of the free hearing that are not among those heard, in order."""
    known = set(heard)
    telling = {
        index
        for spot in free.spots
        if spot.likely is None and (spot.size or spot.duration or spot.has(*_CONTENT))
        for index in range(spot.start, spot.end)
    }
    telling |= {index for index, word in enumerate(free.words) if word in _DENIALS}
    return tuple(free.words[index] for index in sorted(telling) if free.words[index] not in known)


def _doubted(command: Command, why: str) -> Command:
    if isinstance(command, MarkRegion):
        return command.model_copy(update={"doubt": command.doubt or why})
    return command
