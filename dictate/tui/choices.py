"""What a field may hold, from the vocabulary."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, get_args

from dictate.exam.finding import FieldValue, FindingFields, Side
from dictate.vocabulary.schema import Lexicon, Slot

Shape = Literal["one", "many", "yes_no", "size", "days", "count", "text"]
SHAPES: dict[str, Shape] = {
    "colours": "many",
    "surface": "many",
    "borders": "many",
    "consistency": "many",
    "symptoms": "many",
    "denied_symptoms": "many",
    "tender": "yes_no",
    "wipes_off": "yes_no",
    "size_mm": "size",
    "duration_days": "days",
    "count": "count",
    "note": "text",
}
"""How a field is entered; those not named hold one word of the vocabulary."""
_SLOTS = {"denied_symptoms": Slot.SYMPTOM}


@dataclass(frozen=True, slots=True)
class Choice:
    """A value that can be chosen, and other words by which it is found."""

    value: str | bool
    also: tuple[str, ...] = ()


def shape(field: str) -> Shape:
    """How the field is entered."""
    return SHAPES.get(field, "one")


def empty(field: str) -> FieldValue:
    """The value that means "not said"."""
    return [] if shape(field) in ("many", "size") else None


def choices(field: str, finding: FindingFields, lexicon: Lexicon) -> tuple[Choice, ...]:
    """Everything the vocabulary knows for the field, in its order."""
    if field == "side":
        return tuple(Choice(side) for side in get_args(Side))
    if field == "region":
        return tuple(Choice(region.value, region.say) for region in lexicon.regions)
    if field == "subsite":
        return _subsites(finding.region, lexicon)
    if shape(field) == "yes_no":
        return (Choice(True, ("yes",)), Choice(False, ("no",)))
    terms = lexicon.terms.get(_SLOTS.get(field) or Slot(field), ())
    found = {str(term.value): Choice(str(term.value), term.say) for term in terms}
    return tuple(found.values())


def _subsites(region: str | None, lexicon: Lexicon) -> tuple[Choice, ...]:
    return tuple(
        Choice(part.value, (*part.say, *part.alone))
        for each in lexicon.regions
        if each.value == region
        for part in each.subsites
    )


def matching(options: tuple[Choice, ...], typed: str) -> tuple[Choice, ...]:
    """Those that contain what was typed in any of their words; all for nothing typed.

    A value that is what was typed comes first, then those that begin with it.
    """
    wanted = " ".join(typed.casefold().split())
    found = [each for each in options if any(wanted in word for word in _words(each))]
    return tuple(sorted(found, key=lambda each: min(_rank(w, wanted) for w in _words(each))))


def _words(choice: Choice) -> tuple[str, ...]:
    return (str(choice.value).casefold(), *choice.also)


def _rank(word: str, wanted: str) -> int:
    return 0 if word == wanted else 1 if word.startswith(wanted) else 2
