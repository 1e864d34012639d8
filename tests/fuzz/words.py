"""Harnesses of what is said and typed: the matcher, the editor of a field, a file of lines."""

from __future__ import annotations

from functools import cache

from dictate.exam.commands import AddDetail, AddFinding, ChangeField
from dictate.exam.finding import FindingFields
from dictate.exam.parse import LONGEST, parse_field
from dictate.matching.matcher import Matcher
from dictate.matching.reading import Context, Reading
from dictate.speech.heard import typed
from dictate.vocabulary.loader import load
from tests.exam_samples import Chair
from tests.fuzz.oracle import Target, expect

CONTEXTS = (
    Context(),
    Context(region="tongue"),
    Context(region="tongue", side="left", last=FindingFields(region="tongue", kind="ulcer")),
    Context(region="buccal mucosa", side="right", reviewing=True),
    Context(paused=True),
)
SIDES = {
    "left": ("left",),
    "right": ("right",),
    "midline": ("mid",),
    "bilateral": ("both", "bilateral", "each", "left", "right"),
}
FIELDS = tuple(FindingFields.model_fields)


@cache
def matcher() -> Matcher:
    return Matcher(load())


@cache
def words() -> tuple[str, ...]:
    return tuple(sorted(load().words() | {"two", "ten", "fifteen", "fifty", "by", "point", ","}))


def read_words(data: bytes) -> Reading:
    """An odd first byte: words of the vocabulary by number; an even one: any text."""
    head, rest = (data[:1] or b"\0")[0], data[1:]
    text = _by_number(rest) if head & 1 else rest.decode("utf-8", "replace")
    context = CONTEXTS[(head >> 1) % len(CONTEXTS)]
    reading = matcher().read(typed(text), context)
    expect((reading.kind == "ignored") == (not reading.commands), "kind and commands disagree")
    expect(bool(reading.commands) or bool(reading.why), "put aside without a reason")
    expect(0 <= reading.confidence <= 1, "a confidence that is none")
    for command in reading.commands:
        if isinstance(command, AddFinding | AddDetail):
            doubted = {doubt.field for doubt in command.needs_review}
            _said_or_asked(command.fields, doubted, reading.text.lower())
    return reading


def _by_number(data: bytes) -> str:
    known = words()
    numbers = (data[at] << 8 | data[at + 1] for at in range(0, min(len(data), 60) - 1, 2))
    return " ".join(known[number % len(known)] for number in numbers)


def _said_or_asked(fields: FindingFields, doubted: set[str], text: str) -> None:
    if fields.side and "side" not in doubted and not fields.normal_variant:
        expect(any(each in text for each in SIDES[fields.side]), f"{fields.side} of {text!r}")
    if fields.size_mm and "size_mm" not in doubted:
        expect(all(0.5 <= each <= 60 for each in fields.size_mm), f"{fields.size_mm} unasked")


def read_field(data: bytes) -> object:
    """The first byte says which field; the value goes into a finding."""
    name = FIELDS[(data[:1] or b"\0")[0] % len(FIELDS)]
    text = data[1:].decode("utf-8", "replace")
    value = parse_field(name, text, load())
    expect(len(" ".join(text.split())) <= 2 * LONGEST, "a text without end was taken")
    seat = Chair()
    seat.plaque()
    seat.key(ChangeField(target="f1", field=name, value=value))
    return value


TARGETS = (
    Target(
        "words",
        read_words,
        (b"\0white plaque left lateral border of tongue 10 by 6 mm", b"\1abcdefgh", b"\4no yes"),
    ),
    Target("field", read_field, (b"\0tongue", b"\5ten", b"\x0612 x 8 mm", b"\x0b3 weeks")),
)
