"""Changing the fields of a finding, checked."""

from __future__ import annotations

from collections.abc import Mapping

from pydantic import ValidationError

from dictate.errors import ExamError
from dictate.exam.finding import (
    CRITICAL,
    FIELD_NAMES,
    Alternative,
    Doubt,
    FieldValue,
    Finding,
    FindingFields,
)
from dictate.exam.readback import title, value_words
from dictate.exam.state import with_fields

LISTS = ("size_mm", "colours", "surface", "borders", "consistency", "symptoms", "denied_symptoms")
"""Fields that hold several values; all but the size gather words as more is said."""


def known_field(name: str) -> str:
    """The name itself. Raises ExamError when findings have no such field."""
    if name not in FIELD_NAMES:
        known = ", ".join(title(each) for each in FIELD_NAMES)
        raise ExamError(f"A finding has no field {name}; it has {known}.")
    return name


def plain(fields: FindingFields, name: str) -> FieldValue:
    """The field's value as events keep it: lists, not tuples."""
    value = getattr(fields, name)
    return list(value) if isinstance(value, tuple) else value


def changed(finding: Finding, changes: Mapping[str, FieldValue]) -> Finding:
    """The finding with other values. Raises ExamError naming the first that does not fit."""
    try:
        return with_fields(finding, changes)
    except ValidationError as error:
        first = error.errors()[0]
        name = title(str(first["loc"][0])) if first["loc"] else "finding"
        cause = first["msg"].removeprefix("Value error, ")
        raise ExamError(f"The {name} cannot be that: {cause}.") from None


def said_fields(fields: FindingFields) -> dict[str, FieldValue]:
    """The fields that say something, absence ("not tender") included."""
    values = {name: plain(fields, name) for name in FIELD_NAMES}
    return {name: value for name, value in values.items() if value is not None and value != []}


def joined(old: FindingFields, said: Mapping[str, FieldValue]) -> dict[str, FieldValue]:
    """What further words make of a finding: lists grow, the rest is replaced."""
    new: dict[str, FieldValue] = {}
    for name, value in said.items():
        before = plain(old, name)
        if name in LISTS and name != "size_mm" and isinstance(before, list):
            new[name] = list(dict.fromkeys([*before, *_list(value)]))
        elif name == "note" and before:
            new[name] = f"{before}; {value}"
        else:
            new[name] = value
    _part(old, new, said)
    return new


def _part(old: FindingFields, new: dict[str, FieldValue], said: Mapping[str, FieldValue]) -> None:
    """A symptom is present or denied, never both: the later words count."""
    for name, other in (("symptoms", "denied_symptoms"), ("denied_symptoms", "symptoms")):
        if name in said:
            now = set(_list(said[name]))
            rest = [each for each in _list(plain(old, other)) if each not in now]
            if rest != plain(old, other):
                new[other] = rest


def _list(value: FieldValue) -> list[str]:
    return [str(each) for each in value] if isinstance(value, list) else []


def restated(
    old: FindingFields, new: FindingFields, said: Mapping[str, FieldValue]
) -> tuple[Doubt, ...]:
    """Doubts on critical fields, and on denials, that further words replaced."""
    found = []
    for name in said:
        before, after = plain(old, name), plain(new, name)
        replaced = before is not None and before != [] and before != after
        if replaced and (name in CRITICAL or isinstance(before, bool)):
            why = f"said before as {value_words(name, before)}, now {value_words(name, after)}"
            found.append(Doubt(field=name, why=why))
    return tuple(found)


def alternatives(
    old: Finding, names: tuple[str, ...], new: tuple[Alternative, ...]
) -> tuple[Alternative, ...]:
    """Those of the untouched fields, and the new ones."""
    return (*(each for each in old.alternatives if each.field not in names), *new)
