"""Teeth as landmarks: "tooth three six", "lower left six", "upper right first molar".

A tooth says where a finding lies beside the dental arch; its number is no size and no count.
Designation by two digits follows ISO 3950: quadrant, then position from the midline.
"""

from __future__ import annotations

from collections.abc import Iterator

from dictate.matching.forms import Forms, Words
from dictate.matching.numbers import NUMBER_STARTS, UNITS, read_number

_ARCHES = frozenset({"upper", "lower", "maxillary", "mandibular"})
ASPECTS = frozenset({"buccal", "labial", "lingual", "palatal", "mesial", "distal"})
"""Words for the side of a tooth."""
_TWO = 2
_SIDES = frozenset({"left", "right"})
_POSITIONS = frozenset(word for word, value in UNITS.items() if 1 <= value <= 8)
_NUMBERED = Forms("tooth number", "teeth number", "tooth", "teeth")
_LISTING = frozenset({"and", "to", "through", "or"})
_QUADRANTS = (("upper", "right"), ("upper", "left"), ("lower", "left"), ("lower", "right"))
"""By the first digit: 1 to 4 of a permanent tooth, 5 to 8 of a deciduous one. source: ISO 3950"""
_PERMANENT, _DECIDUOUS = 8, 5
"""Teeth of a quadrant, counted from the midline. source: ISO 3950"""
_COUNTED_THROUGH = 32
"""The last tooth where all are counted through from the upper right (Universal numbering system,
from memory)."""
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
    if _led(words, start):
        return _numbers_end(words, start)
    turned = words[start] in _SIDES and words[start + 1 : start + 2] != ()
    turned = turned and words[start + 1] in _ARCHES
    index = start
    arch = turned or words[index] in _ARCHES
    index += arch
    side = index < len(words) and (turned or words[index] in _SIDES)
    index += side
    named = _NAMES.end(words, index)
    if named > index and (arch or words[index] != "central"):
        return named
    single = index < len(words) and words[index] in _POSITIONS
    if arch and side and single:
        end = _positions_end(words, index + 1)
        counted = words[end : end + 2] in (("of", "them"), ("of", "these"))
        return start if counted or _measures(words, end) else end
    return start


def _led(words: Words, start: int) -> bool:
    """ "Buccal to thirty six", "opposite three seven": only a tooth can stand there."""
    if words[start] not in NUMBER_STARTS:
        return False
    beside = words[start - 1 : start] == ("to",) and words[max(0, start - 2)] in ASPECTS
    return beside or words[max(0, start - 1) : start] == ("opposite",)


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
    if arch or side or not (_NUMBERED.end(words, 0) or _numbers_end(words, 0) == len(words)):
        return arch, side
    return _designated(tuple(_numbers(words)))


def _numbers(words: Words) -> Iterator[int]:
    index = 0
    while index < len(words):
        number = read_number(words, index) if words[index] in NUMBER_STARTS else None
        if number is not None:
            yield int(number.value)
        index = number.end if number is not None else index + 1


def _designated(numbers: tuple[int, ...]) -> tuple[str, str]:
    """Of "three six" or "thirty six"; empty for digits that no tooth has, and for "eighteen", which
    may be counted through both arches."""
    if len(numbers) == 1 and numbers[0] > _COUNTED_THROUGH:
        numbers = divmod(numbers[0], 10)
    if len(numbers) != _TWO:
        return "", ""
    quadrant, position = numbers
    most = _PERMANENT if quadrant <= len(_QUADRANTS) else _DECIDUOUS
    if not 1 <= quadrant <= 2 * len(_QUADRANTS) or not 1 <= position <= most:
        return "", ""
    return _QUADRANTS[(quadrant - 1) % len(_QUADRANTS)]


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
