"""What the other readings of the same sound say of places and sizes."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeVar

from dictate.exam.commands import ChangeField, MarkRegion
from dictate.exam.finding import FieldValue
from dictate.matching.draft import Draft
from dictate.matching.outcome import Outcome
from dictate.matching.sounds import WATCHED

_WITNESS_SCORE = 90.0
Doubtful = TypeVar("Doubtful", ChangeField, MarkRegion)


def compare(outcomes: Sequence[Outcome], alternatives: Sequence[Sequence[Outcome]]) -> None:
    """Doubt, in place, every watched field and every mark in which another reading differs."""
    drafts = recorded(outcomes)
    for alternative in alternatives:
        others = recorded(alternative)
        if len(others) == len(drafts):
            for draft, other in zip(drafts, others, strict=True):
                _compare_drafts(draft, other)
        else:
            for draft in drafts:
                draft.doubt("kind", "another hearing of it gives other findings")
        _compare_marks(outcomes, alternative)


def recorded(outcomes: Sequence[Outcome]) -> list[Draft]:
    """The drafts of findings and details, in order."""
    return [each.draft for each in outcomes if each.recorded and each.draft is not None]


def compare_changes(
    changes: Sequence[ChangeField], alternatives: Sequence[Sequence[ChangeField]]
) -> list[ChangeField]:
    """The changes, doubted where another reading gives the field another value or none."""
    checked = list(changes)
    for alternative in alternatives:
        values = {change.field: change.value for change in alternative}
        for index, change in enumerate(checked):
            if values.get(change.field) != change.value:
                why = f"another hearing of it gives {shown(values.get(change.field))}"
                checked[index] = doubted(change, why)
    return checked


def doubted(command: Doubtful, why: str) -> Doubtful:
    """The change or the mark with one more reason to ask."""
    doubt = f"{command.doubt}; {why}" if command.doubt and why not in command.doubt else why
    return command.model_copy(update={"doubt": doubt})


def doubt_mark(outcome: Outcome, why: str) -> None:
    """Doubt a statement about a region, in place; a first reason stays."""
    if isinstance(outcome.command, MarkRegion) and outcome.command.doubt is None:
        outcome.command = outcome.command.model_copy(update={"doubt": why})


def shown(value: FieldValue) -> str:
    """A value for a sentence to a person."""
    if value is None:
        return "none"
    if isinstance(value, list):
        return " by ".join(f"{each:g}" if isinstance(each, float) else each for each in value)
    return str(value)


def _compare_drafts(draft: Draft, other: Draft) -> None:
    for name in WATCHED:
        mine, theirs = draft.get(name), other.get(name)
        if mine == theirs:
            continue
        draft.doubt(name, f"another hearing of it gives {shown(theirs)}")
        if theirs is not None:
            draft.offer(name, theirs, _WITNESS_SCORE)


def _compare_marks(outcomes: Sequence[Outcome], alternative: Sequence[Outcome]) -> None:
    others = {_mark(each) for each in alternative}
    for outcome in outcomes:
        mark = _mark(outcome)
        if mark is None or mark in others:
            continue
        regions = sorted({each[0] for each in others if each is not None} - {mark[0]})
        gives = regions[0] if regions else "something else"
        doubt_mark(outcome, f"another hearing of it gives {gives}")


def _mark(outcome: Outcome) -> tuple[str, str, str | None] | None:
    command = outcome.command
    if not isinstance(command, MarkRegion):
        return None
    return command.region, command.state, command.side
