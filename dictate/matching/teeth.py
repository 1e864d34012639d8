"""Teeth as landmarks: "tooth three six", "lower left six", "upper right first molar".

A tooth says where a finding lies beside the dental arch; its number is no size and no count.
Designation by two digits follows ISO 3950: quadrant, then position from the midline.
"""

from __future__ import annotations

from dictate.matching.forms import Forms, Words
from dictate.matching.numbers import NUMBER_STARTS, UNITS, read_number

_ARCHES = frozenset({"upper", "lower", "maxillary", "mandibular"})
_TWO = 2
_SIDES = frozenset({"left", "right"})
_POSITIONS = frozenset(word for word, value in UNITS.items() if 1 <= value <= 8)
_NUMBERED = Forms("tooth number", "teeth number", "tooth", "teeth")
_LISTING = frozenset({"and", "to", "through", "or"})
_QUADRANTS = {
    "one": ("upper", "right"),
    "two": ("upper", "left"),
    "three": ("lower", "left"),
    "four": ("lower", "right"),
}
"""First digit of a permanent tooth. source: ISO 3950"""
_LABELS = frozenset({"photo", "photograph", "image", "picture", "slide", "figure"})
_PERSONS = frozenset(
    {
        *("man", "woman", "boy", "girl", "lady", "gentleman"),
        *("male", "female", "patient", "smoker", "person"),
    }
)
_CLOCK = frozenset({"oclock"})
_FINGERS = Forms("finger breadths", "finger breadth", "fingerbreadths", "fingerbreadth", "fingers")
_NAMES = Forms(
    "central incisors",
    "lateral incisors",
    "centrals",
    "laterals",
    "eye tooth",
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
    if arch and side and single:
        end = _positions_end(words, index + 1)
        return start if _measures(words, end) else end
    return start


def _positions_end(words: Words, index: int) -> int:
    """After "six and seven", "three to five", as far as no unit follows the last."""
    while words[index : index + 1] and words[index] in _LISTING:
        following = words[index + 1 : index + 2]
        if not following or following[0] not in _POSITIONS or _measures(words, index + 2):
            break
        index += 2
    return index


def place_of_tooth(words: Words) -> tuple[str, str]:
    """Arch ("upper", "lower") and side that the words of a tooth tell; empty where they do not."""
    arch = next((word for word in words if word in _ARCHES), "")
    side = next((word for word in words if word in _SIDES), "")
    arch = {"maxillary": "upper", "mandibular": "lower"}.get(arch, arch)
    digits = [word for word in words if word in UNITS]
    if not arch and not side and len(digits) == _TWO and len(words) > _TWO:
        return _QUADRANTS.get(digits[0], ("", ""))
    return arch, side


def where_on_it_end(words: Words, start: int) -> int:
    """After "three o'clock", "two finger breadths", "photo two", "fifty year old man": no size."""
    if words[start] in _LABELS:
        number = read_number(words, start + 1) if start + 1 < len(words) else None
        return number.end if number is not None and words[start + 1] != "a" else start
    number = read_number(words, start) if words[start] in NUMBER_STARTS else None
    if number is None:
        return start
    if words[number.end : number.end + 2] == ("year", "old"):
        person = words[number.end + 2 : number.end + 3]
        return number.end + 3 if person and person[0] in _PERSONS else start
    if words[number.end : number.end + 1] and words[number.end] in _CLOCK:
        return number.end + 1
    fingers = _FINGERS.end(words, number.end)
    return fingers if fingers > number.end else start


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
