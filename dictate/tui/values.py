"""A field's value in words for the screen, and typed text back into a value."""

from __future__ import annotations

import re
from collections.abc import Sequence

from dictate.exam.finding import FieldValue
from dictate.tui.plain import visible

UNSAID = "not said"
_UNITS_MM = {"": 1.0, "mm": 1.0, "millimetre": 1.0, "millimeter": 1.0, "cm": 10.0}
_UNITS_MM |= {"centimetre": 10.0, "centimeter": 10.0}
_UNITS_DAYS = {"": 1, "d": 1, "day": 1, "w": 7, "wk": 7, "week": 7, "fortnight": 14}
_UNITS_DAYS |= {"m": 30, "mo": 30, "month": 30, "y": 365, "yr": 365, "year": 365}
_DIMENSION = re.compile(r"(\d+(?:[.,]\d+)?)\s*([a-z]*)")


class UnreadableError(ValueError):
    """Typed text that is no value of the field; `str` says what would be."""


def words(value: object) -> str:
    """A vocabulary value as a person reads it ("not_examined" is "not examined")."""
    return visible(str(value).replace("_", " "))


def show(field: str, value: FieldValue | Sequence[str | float]) -> str:
    """The value of `field` in words; "not said" for None or an empty list."""
    if value is None or (isinstance(value, list | tuple | str) and not value):
        return UNSAID
    if field == "size_mm" and isinstance(value, list | tuple):
        return " × ".join(f"{float(each):g}" for each in value) + " mm"
    if field == "duration_days" and isinstance(value, int):
        return show_days(value)
    if field in {"tender", "wipes_off"}:
        return "yes" if value else "no"
    if isinstance(value, list | tuple):
        return ", ".join(words(each) for each in value)
    return visible(value) if field == "note" and isinstance(value, str) else words(value)


def show_days(days: int) -> str:
    """Days, in the largest unit that divides them (a month is 30 days, a year 365)."""
    for size, name in ((365, "year"), (30, "month"), (7, "week")):
        if days and days % size == 0:
            number = days // size
            return f"{number} {name}{'' if number == 1 else 's'}"
    return f"{days} day{'' if days == 1 else 's'}"


def read_size(text: str) -> list[float]:
    """Millimetres from "10 x 6", "10 by 6 mm", "1.5 cm"; a unit counts for all before it.

    Raises UnreadableError for anything else.
    """
    parts = re.split(r"\s*(?:x|×|\*|\bby\b)\s*", text.strip().lower())
    sizes: list[float] = []
    unit = ""
    for part in reversed(parts):
        match = _DIMENSION.fullmatch(part.strip())
        if match is None:
            raise UnreadableError('write a size as "10 x 6", "4 mm" or "1.5 cm"')
        unit = match[2].removesuffix("s") or unit
        if unit not in _UNITS_MM:
            raise UnreadableError(f'"{visible(match[2], 12)}" is no unit: use mm or cm')
        sizes.insert(0, round(float(match[1].replace(",", ".")) * _UNITS_MM[unit], 3))
    if len(sizes) > 3:
        raise UnreadableError("a size has at most three dimensions")
    if any(not 0 < each <= 500 for each in sizes):
        raise UnreadableError("each dimension lies above 0 and at most 500 mm")
    return sizes


def read_days(text: str) -> int:
    """Days from "3 weeks", "10 d", "2 months" (a month is 30, a year 365).

    Raises UnreadableError for anything else.
    """
    match = re.fullmatch(r"(\d+)\s*([a-z]*)", text.strip().lower())
    name = match[2] if match else ""
    name = name.removesuffix("s") if len(name) > 1 else name
    if match is None or name not in _UNITS_DAYS:
        raise UnreadableError('write a duration as "10 days", "3 weeks" or "2 months"')
    days = int(match[1]) * _UNITS_DAYS[name]
    if days > 36_500:
        raise UnreadableError("a duration is at most 100 years")
    return days


def read_count(text: str) -> int:
    """A whole number from 1 to 999. Raises UnreadableError for anything else."""
    text = text.strip()
    if not re.fullmatch(r"[0-9]{1,3}", text) or int(text) == 0:
        raise UnreadableError("write a whole number from 1 to 999")
    return int(text)
