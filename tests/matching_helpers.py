"""What the tests of the matcher share: reading a text, and what came of it in short."""

from __future__ import annotations

from typing import Any

from dictate.exam.commands import AddDetail, AddFinding, MarkRegion
from dictate.exam.finding import FindingFields
from dictate.matching.matcher import Matcher
from dictate.matching.reading import Context, Reading
from dictate.speech.heard import Hypothesis, Utterance, Word, typed
from dictate.vocabulary.loader import load

MATCHER = Matcher(load())
NOWHERE = Context()
ULCER = FindingFields(
    region="tongue", subsite="lateral border", side="left", kind="ulcer", size_mm=(12.0,)
)
AFTER_ULCER = Context(region="tongue", subsite="lateral border", side="left", last=ULCER)


def read(text: str, context: Context = NOWHERE) -> Reading:
    """The reading of a typed text."""
    return MATCHER.read(typed(text), context)


def only(text: str) -> AddFinding:
    """The single finding of a text."""
    (command,) = read(text).commands
    assert isinstance(command, AddFinding), text
    return command


def asked(command: AddFinding) -> set[str]:
    """The fields that are asked about."""
    return {doubt.field for doubt in command.needs_review}


def said(fields: FindingFields, *, note: bool = False) -> dict[str, Any]:
    """The fields that say something; the count of one and the note are left out."""
    shown = {
        name: list(value) if isinstance(value, tuple) else value
        for name, value in fields.model_dump(exclude_defaults=True).items()
    }
    if shown.get("count") == 1:
        del shown["count"]
    if not note:
        shown.pop("note", None)
    return shown


def found(reading: Reading) -> list[dict[str, Any]]:
    """The new findings of a reading."""
    return [said(each.fields) for each in reading.commands if isinstance(each, AddFinding)]


def doubted(reading: Reading) -> list[set[str]]:
    """The doubted fields of each finding and detail."""
    return [
        {doubt.field for doubt in each.needs_review}
        for each in reading.commands
        if isinstance(each, AddFinding | AddDetail)
    ]


def whys(reading: Reading) -> str:
    """All reasons of all doubts, for a look inside."""
    return " | ".join(
        f"{doubt.field}: {doubt.why}"
        for each in reading.commands
        if isinstance(each, AddFinding | AddDetail)
        for doubt in each.needs_review
    )


def detail(reading: Reading) -> dict[str, Any]:
    """What a reading adds to the finding before; it must be one detail and nothing else."""
    (command,) = reading.commands
    assert isinstance(command, AddDetail)
    return said(command.fields)


def marks(reading: Reading) -> list[tuple[str, str, str | None]]:
    """Region, state and side of each mark of a reading."""
    return [
        (each.region, each.state, each.side)
        for each in reading.commands
        if isinstance(each, MarkRegion)
    ]


def heard(
    text: str,
    *others: str,
    confidence: float = 0.97,
    weak: dict[str, float] | None = None,
    free: str | None = None,
    dictation: float = 1.0,
    step: float = 1.0,
) -> Utterance:
    """An utterance as an engine gives it: words with times, confidences and other readings."""
    hypotheses = tuple(
        Hypothesis(_words(each, confidence, weak or {}), -step * rank)
        for rank, each in enumerate((text, *others))
    )
    return Utterance(hypotheses, 0.0, 3.0, confidence, dictation, free)


def _words(text: str, confidence: float, weak: dict[str, float]) -> tuple[Word, ...]:
    return tuple(
        Word(word, index * 0.4, index * 0.4 + 0.4, weak.get(word, confidence))
        for index, word in enumerate(text.split())
    )
