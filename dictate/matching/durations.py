"""Spoken durations: "three weeks", "a fortnight", "since last month", "six to eight weeks"."""

from __future__ import annotations

from dataclasses import dataclass, replace

from dictate.matching.forms import Forms, Words
from dictate.matching.numbers import NUMBER_STARTS, read_number
from dictate.matching.units import Units, bound, openings, unit_at

_LEADS = Forms(
    "for the last",
    "for the past",
    "over the last",
    "over the past",
    "in the last",
    "in the past",
    "the last",
    "the past",
    "for",
    "since",
    "x",
)
_TAILS = Forms(
    "or so",
    "ago",
    "old",
    "now",
    "duration",
    "in duration",
    "history of",
    "history",
)
_DAYS: dict[Words, tuple[int, str]] = {
    ("since", "yesterday"): (1, ""),
    ("from", "yesterday"): (1, ""),
    ("noticed", "yesterday"): (1, ""),
    ("appeared", "yesterday"): (1, ""),
    ("started", "yesterday"): (1, ""),
    ("came", "up", "yesterday"): (1, ""),
    ("began", "yesterday"): (1, ""),
    ("since", "last", "night"): (1, ""),
    ("since", "this", "morning"): (0, ""),
    ("since", "today"): (0, ""),
    ("since", "the", "day", "before", "yesterday"): (2, ""),
}
_FEW: dict[Words, tuple[float | None, str]] = {
    ("a", "few"): (3, "“a few” was taken as three"),
    ("few",): (3, "“a few” was taken as three"),
    ("several",): (None, ""),
    ("many",): (None, ""),
    ("some",): (None, ""),
}
_LAST = Forms("last")
_ONE = Forms("a", "an", "one")
_OF_A = Forms("of a", "a")
_MAX_DAYS = 36_500
OPENINGS = frozenset(
    {
        *NUMBER_STARTS,
        *_LEADS.firsts,
        *openings(),
        *(form[0] for form in _DAYS),
        *(form[0] for form in _FEW),
        "last",
        "an",
    }
)
"""Words that a duration may begin with."""


@dataclass(frozen=True, slots=True)
class Duration:
    """Days over words `start` to `end`; None when words give a time but no figure."""

    days: int | None
    start: int
    end: int
    whys: tuple[str, ...] = ()
    """Why the figure is a guess; empty when it was plainly said."""


def read_duration(words: Words, start: int, units: Units) -> Duration | None:
    """The duration that begins at `start`, or None."""
    if words[start] not in OPENINGS:
        return None
    begin = _LEADS.end(words, start)
    named = _named(words, start, begin)
    if named is not None:
        return named
    begin, whys = bound(words, begin)
    if words[begin : begin + 1] == ("last",) or words[begin - 1 : begin] == ("last",):
        return _last(words, start, begin, units)
    return _counted(words, start, begin, units, whys)


def _named(words: Words, start: int, begin: int) -> Duration | None:
    for form, (days, why) in _DAYS.items():
        for index in (start, begin):
            if words[index : index + len(form)] == form:
                return Duration(days, start, index + len(form), (why,) if why else ())
    return None


def _last(words: Words, start: int, begin: int, units: Units) -> Duration | None:
    """ "since last month": some time within it, so the figure is a guess."""
    begin = _LAST.end(words, begin)
    unit = unit_at(words, begin, units)
    if unit is None:
        return _counted(words, start, begin, units, ())
    said = " ".join(words[begin - 1 : unit[1]])
    why = f"“{said}” was taken as one whole one"
    return Duration(round(unit[0]), start, _TAILS.end(words, unit[1]), (why,))


@dataclass(frozen=True, slots=True)
class _Figure:
    value: float | None
    """None where words such as "several" stand for the figure."""
    unit: float | None
    """Days in one of its unit; None when no unit follows the figure."""
    end: int
    whys: tuple[str, ...] = ()


def _counted(
    words: Words, start: int, begin: int, units: Units, whys: tuple[str, ...]
) -> Duration | None:
    low = _few(words, begin, units) or _figure(words, begin, units)
    if low is None:
        return None
    figure = _range(words, low, units) or low
    if figure.unit is None:
        return None
    end = _TAILS.end(words, figure.end)
    if figure.value is None:
        said = " ".join(words[begin : figure.end])
        return Duration(None, start, end, (f"“{said}” gives no figure",))
    days, odd = _days(figure.value * figure.unit)
    return Duration(days, start, end, whys + figure.whys + odd)


def _few(words: Words, begin: int, units: Units) -> _Figure | None:
    for form, (value, why) in _FEW.items():
        if words[begin : begin + len(form)] == form:
            unit = unit_at(words, begin + len(form), units)
            if unit is not None:
                return _Figure(value, unit[0], unit[1], (why,) if why else ())
    return None


def _figure(words: Words, begin: int, units: Units) -> _Figure | None:
    article = _ONE.end(words, begin)
    unit = unit_at(words, article, units) if article > begin else None
    if unit is not None:
        return _and_part(words, _Figure(1, unit[0], unit[1]))
    number = read_number(words, begin)
    if number is None:
        return None
    whys = (number.why,) if number.why else ()
    unit = unit_at(words, _OF_A.end(words, number.end), units)
    if unit is not None and number.value >= 1 and words[number.end] == "a":
        return None  # "Twenty a day" is how often, not how long.
    if unit is None:
        return _Figure(number.value, None, number.end, whys)
    return _and_part(words, _Figure(number.value, unit[0], unit[1], whys))


def _and_part(words: Words, figure: _Figure) -> _Figure:
    """ "a week and a half"."""
    if words[figure.end : figure.end + 1] != ("and",) or figure.value is None:
        return figure
    part = read_number(words, figure.end + 1)
    if part is None or not 0 < part.value < 1:
        return figure
    return replace(figure, value=figure.value + part.value, end=part.end)


def _range(words: Words, low: _Figure, units: Units) -> _Figure | None:
    """ "two to three weeks": the longer is kept, since limits of time are passed by it."""
    if words[low.end : low.end + 1] not in (("to",), ("or",)) or low.value is None:
        return None
    high = _figure(words, low.end + 1, units)
    if high is None or high.unit is None or high.value is None:
        return None
    low_days = low.value * (low.unit or high.unit)
    longest = max(low_days, high.value * high.unit)
    said = " ".join(words[low.end : high.end])
    why = f"a range was said ({low.value:g} {said}): the longer was taken"
    return _Figure(longest / high.unit, high.unit, high.end, (*low.whys, *high.whys, why))


def _days(value: float) -> tuple[int | None, tuple[str, ...]]:
    days = round(value)
    if days > _MAX_DAYS:
        return None, ("the time said is too long to record",)
    if value > 0 and days == 0:
        return 1, ("less than a day was taken as one day",)
    return days, ()
