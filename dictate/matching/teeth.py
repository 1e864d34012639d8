"""Teeth as landmarks: "tooth three six", "lower left six", "upper right first molar".

A tooth says where a finding lies beside the dental arch; its number is no size and no count.
Designation by two digits follows ISO 3950: quadrant, then position from the midline.
"""

from __future__ import annotations

from dictate.matching.forms import Forms, Words
from dictate.matching.numbers import UNITS, read_number

_ARCHES = frozenset({"upper", "lower", "maxillary", "mandibular"})
_SIDES = frozenset({"left", "right"})
_POSITIONS = frozenset(word for word, value in UNITS.items() if 1 <= value <= 8)
_NUMBERED = Forms("tooth number", "teeth number", "tooth", "teeth")
_NAMES = Forms(
    "central incisor",
    "lateral incisor",
    "central and lateral incisor",
    "central",
    "incisor",
    "incisors",
    "canine",
    "canines",
    "first premolar",
    "second premolar",
    "premolar",
    "premolars",
    "first molar",
    "second molar",
    "third molar",
    "last molar",
    "molar",
    "molars",
    "wisdom tooth",
    "wisdom teeth",
    "quadrant",
    "teeth",
)


def tooth_end(words: Words, start: int) -> int:
    """The index after the tooth that is named at `start`; `start` itself if none is."""
    numbered = _NUMBERED.end(words, start)
    if numbered > start:
        return _numbers_end(words, numbered)
    index = start
    arch = words[index] in _ARCHES
    index += arch
    side = index < len(words) and words[index] in _SIDES
    index += side
    named = _NAMES.end(words, index)
    if named > index and (arch or words[index] != "central"):
        return named
    single = index < len(words) and words[index] in _POSITIONS
    if arch and side and single and not _measures(words, index + 1):
        return index + 1
    return start


def _numbers_end(words: Words, index: int) -> int:
    """After one number, or two digits said singly; before a number that has a unit."""
    end = index
    for _ in range(2):
        number = read_number(words, end) if end < len(words) else None
        if number is None or words[end] == "a" or _measures(words, number.end):
            break
        end = number.end
    return end


def _measures(words: Words, index: int) -> bool:
    """True if the number before `index` is a measure after all ("lower left six millimetres")."""
    return index < len(words) and words[index] in (
        "by",
        "x",
        "point",
        "millimetre",
        "millimetres",
        "centimetre",
        "centimetres",
        "mm",
        "cm",
        "mil",
        "mils",
        "and",
        "week",
        "weeks",
        "month",
        "months",
        "day",
        "days",
    )
