"""Spoken sizes: "ten by six millimetres", "half a centimetre", "five to six millimetres"."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from dictate.matching.forms import Forms, Words
from dictate.matching.numbers import NUMBER_STARTS, Number, read_number
from dictate.matching.units import Units, bound, openings, unit_at

_BY = frozenset({"by", "x", "times", "cross", "into"})
_INTO = "into"
"""Between two dimensions in India; else what grows in there. source: common practice, no source"""
_RANGE = frozenset({"to", "or"})
_HOMOPHONES = {"to": 2.0, "too": 2.0, "for": 4.0, "fore": 4.0, "ate": 8.0, "won": 1.0, "tree": 3.0}
_LEADS = Forms(
    "measuring up to",
    "in size",
    "length is",
    "length of",
    "length",
    "width is",
    "width of",
    "diameter is",
    "greatest diameter is",
    "bigger diameter is",
    "larger diameter is",
    "longer diameter is",
    "size is",
    "size of",
    "measuring",
    "measures",
    "measured",
    "measure",
    "sized",
    "size",
    "diameter of",
    "diameter",
)
_AXES = Forms(
    "in its longest dimension",
    "in diameter",
    "in length",
    "in width",
    "in height",
    "in depth",
    "in size",
    "across",
    "long",
    "wide",
    "high",
    "deep",
    "thick",
    "front to back",
    "side to side",
    "top to bottom",
    "from front to back",
    "from side to side",
    "from top to bottom",
    "length",
    "width",
    "diameter",
)
_AXIS_SAID = Forms(
    *(
        f"{lead}{axis}{copula}"
        for lead in ("", "its ", "and its ", "and the ", "the ", "and ")
        for axis in ("length", "width", "height", "depth", "thickness")
        for copula in ("", " is", " of")
    )
)
"""What leads to a further dimension: "its length is nine, its width five"."""
_OTHER_DIAMETER = Forms(
    "the smaller one is", "the smaller is", "the smaller one", "the other one is"
)
_NOUNS = frozenset({"length", "width", "diameter"})
_A = Forms("a")
_OF_A = Forms("of a", "of an", "a", "an")
_VAGUE = frozenset({"few", "several", "many"})
NO_UNIT = "no unit was said: millimetres assumed"
OPENINGS = frozenset({*NUMBER_STARTS, *_HOMOPHONES, *_LEADS.firsts, *openings(), *_VAGUE, "an"})
"""Words that a size may begin with."""


@dataclass(frozen=True, slots=True)
class Size:
    """A size in millimetres, in the order spoken, over words `start` to `end`."""

    mm: tuple[float, ...]
    start: int
    end: int
    unit_said: bool
    led: bool
    """True if a unit, "by" or a word such as "measuring" says that it is a size."""
    whys: tuple[str, ...] = ()
    """Why a person must confirm it; empty when it was plainly said."""


@dataclass(frozen=True, slots=True)
class _Dimension:
    value: float
    end: int
    unit: float | None = None
    whys: tuple[str, ...] = ()
    axis: bool = False


def read_size(words: Words, start: int, units: Units) -> Size | None:
    """The size that begins at `start`; None when no number or unit stands there.

    A bare number is a size with `led` False: the caller decides whether it is one.
    """
    if words[start] not in OPENINGS:
        return None
    begin, led, whys = _openings(words, start)
    vague = _vague(words, begin, units)
    if vague is not None:
        return replace(vague, start=start)
    first = _dimension(words, begin, units, homophones=False)
    if first is None:
        return None
    of_diameter = "diameter" in words[start:begin]
    dimensions = _dimensions(words, first, units, _OTHER_DIAMETER if of_diameter else _AXIS_SAID)
    mm, unit_said = _resolve(dimensions)
    for dimension in dimensions:
        whys += dimension.whys
    if not unit_said:
        whys += (NO_UNIT,)
    said = led or unit_said or len(dimensions) > 1
    return Size(mm, start, dimensions[-1].end, unit_said, said, whys)


def _openings(words: Words, start: int) -> tuple[int, bool, tuple[str, ...]]:
    index = _LEADS.end(words, start)
    led = index > start
    index, whys = bound(words, index)
    again = _LEADS.end(words, index)
    return again, led or again > index, whys


def _vague(words: Words, start: int, units: Units) -> Size | None:
    index = _A.end(words, start)
    if index >= len(words) or words[index] not in _VAGUE:
        return None
    unit = unit_at(words, index + 1, units)
    if unit is None:
        return None
    said = " ".join(words[start : unit[1]])
    return Size((), start, unit[1], True, True, (f"“{said}” gives no figure",))


def _dimensions(words: Words, first: _Dimension, units: Units, further: Forms) -> list[_Dimension]:
    dimensions = [first]
    while len(dimensions) < 3:
        last = dimensions[-1]
        joint = words[last.end] if last.end < len(words) else ""
        joined = joint in _BY or (joint == "and" and last.axis)
        begin = further.end(words, last.end)
        named = begin > last.end
        if not (joined or named or last.axis):
            break
        if not named:
            begin = bound(words, last.end + joined)[0] if last.axis else last.end + joined
        following = _dimension(words, begin, units, homophones=joint in _BY)
        if following is None or not (joint in _BY or named or following.axis):
            break
        if joint == _INTO and last.unit is not None and following.unit is None:
            break
        dimensions.append(following)
    return dimensions


def _dimension(words: Words, start: int, units: Units, *, homophones: bool) -> _Dimension | None:
    figure = _figure(words, start, units, homophones)
    if figure is None:
        return None
    figure = _range(words, figure, units)
    end = _AXES.end(words, figure.end)
    if end == figure.end + 1 and words[figure.end] in _NOUNS and _leads_on(words, end):
        return figure
    return replace(figure, end=end, axis=end > figure.end)


def _leads_on(words: Words, index: int) -> bool:
    """ "Length nine, width four": the width is that of the figure after it."""
    index += words[index : index + 1] in (("of",), ("is",))
    return read_number(words, index) is not None if index < len(words) else False


def _figure(words: Words, start: int, units: Units, homophones: bool) -> _Dimension | None:
    if start < len(words) and words[start] in ("a", "an"):
        unit = unit_at(words, start + 1, units)
        if unit is not None:
            lost = "“a millimetre”: was a figure lost?"
            whys = (lost,) if unit[0] == 1.0 else ()
            return _and_part(words, units, _Dimension(1.0, unit[1], unit[0], whys))
    if words[start - 1 : start] in (("good",), ("bare",), ("scant",)):
        unit = unit_at(words, start, units)  # "A good centimetre": one of it, more or less.
        if unit is not None:
            return _Dimension(1.0, unit[1], unit[0])
    number = read_number(words, start)
    if number is None:
        number = _homophone(words, start, units, homophones)
    if number is None:
        return None
    whys = (number.why,) if number.why else ()
    unit = unit_at(words, _of_a(words, number.end), units)
    if unit is None:
        return _Dimension(number.value, number.end, None, whys)
    return _and_part(words, units, _Dimension(number.value, unit[1], unit[0], whys))


def _homophone(words: Words, start: int, units: Units, after_by: bool) -> Number | None:
    """ "ten by for millimetres": a word that sounds like a number where only one can stand."""
    value = _HOMOPHONES.get(words[start]) if start < len(words) else None
    if value is None or not (after_by or unit_at(words, start + 1, units)):
        return None
    return Number(value, start + 1, f"“{words[start]}” was taken as the number {value:g}")


def _of_a(words: Words, index: int) -> int:
    return _OF_A.end(words, index)


def _and_part(words: Words, units: Units, dimension: _Dimension) -> _Dimension:
    """ "a centimetre and a half": the part belongs to the unit before it."""
    if words[dimension.end : dimension.end + 1] != ("and",):
        return dimension
    part = read_number(words, dimension.end + 1)
    if part is None or part.value >= 1 or part.value == 0:
        return dimension
    if unit_at(words, _of_a(words, part.end), units) is not None:
        return dimension  # "Fifty millimetres, and nought point five centimetres": two sizes.
    return replace(dimension, value=dimension.value + part.value, end=part.end)


def _range(words: Words, low: _Dimension, units: Units) -> _Dimension:
    """ "five to six millimetres": the larger is kept, and asked about."""
    if low.end >= len(words) or words[low.end] not in _RANGE:
        return low
    high = _figure(words, low.end + 1, units, homophones=False)
    if high is None:
        return low
    why = f"a range was said ({low.value:g} to {high.value:g}): the larger was taken"
    low_mm = low.value * (low.unit or high.unit or 1)
    high_mm = high.value * (high.unit or low.unit or 1)
    larger = high if high_mm >= low_mm else replace(low, unit=low.unit or high.unit)
    unit = larger.unit or high.unit or low.unit
    return replace(larger, unit=unit, end=high.end, whys=(*low.whys, *high.whys, why))


def _resolve(dimensions: Sequence[_Dimension]) -> tuple[tuple[float, ...], bool]:
    """Millimetres: a dimension without a unit takes the next one said, else the one before."""
    units: list[float | None] = [each.unit for each in dimensions]
    for index in reversed(range(len(units) - 1)):
        units[index] = units[index] or units[index + 1]
    for index in range(1, len(units)):
        units[index] = units[index] or units[index - 1]
    said = any(units)
    values = (d.value * (u or 1.0) for d, u in zip(dimensions, units, strict=True))
    return tuple(round(value, 3) for value in values), said
