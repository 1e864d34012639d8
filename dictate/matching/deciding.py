"""Spoken decisions: "refer lesion two because it has grown", "re-check in two weeks"."""

from __future__ import annotations

import calendar
from dataclasses import dataclass
from datetime import date, timedelta
from typing import cast

from dictate.exam.commands import Decide
from dictate.exam.decisions import DecisionKind
from dictate.matching.forms import Forms, Words
from dictate.matching.numbers import read_number
from dictate.matching.visit_words import Named, VisitWords

DECISIONS = ("recheck", "refer", "biopsy", "no_action")
_IN = Forms("in", "after", "within", "in about", "again in")
_THIS = Forms("this", "it", "this one", "that", "this finding", "this lesion")
_DAYS = {"day": 1, "days": 1, "week": 7, "weeks": 7, "fortnight": 14, "fortnights": 14}
_MONTHS = {"month": 1, "months": 1, "year": 12, "years": 12}


@dataclass(frozen=True, slots=True)
class Spoken:
    """A decision as it was said; `target` None: nothing was named."""

    decision: DecisionKind
    target: Named | None
    due: date | None
    reason: str


def read_decision(
    words: Words, terms: VisitWords, on: date | None, *, free_reason: bool
) -> Spoken | None:
    """The decision that the words are, all of them; None if they are anything else.

    `free_reason`: words without "because" are taken as the reason (in the confirmation pass).
    """
    named = terms.named(words)
    index = terms.past_joints(words, named.end) if named else 0
    kind, index = terms.at(words, index)
    if kind not in DECISIONS:
        return None
    if named is None:
        named = terms.named(words, index)
        index = named.end if named else index
    index = _THIS.end(words, index)
    due, index = _due(words, index, on)
    reason = _reason(words, index, terms, free=free_reason)
    if reason is None:
        return None
    return Spoken(cast(DecisionKind, kind), named, due, reason)


def decide(spoken: Spoken, target: str) -> Decide:
    """The command for a target."""
    return Decide(target=target, decision=spoken.decision, reason=spoken.reason, due=spoken.due)


def _reason(words: Words, index: int, terms: VisitWords, *, free: bool) -> str | None:
    if index >= len(words):
        return ""
    term, after = terms.at(words, index)
    if term == "because":
        return " ".join(words[after:])
    return " ".join(words[index:]) if free else None


def _due(words: Words, start: int, on: date | None) -> tuple[date | None, int]:
    """ "in two weeks": that day, counted from the visit, and the index after the words."""
    index = _IN.end(words, start)
    if index == start or on is None:
        return None, start
    if words[index : index + 1] in (("a",), ("one",)):
        count, end = 1, index + 1
    else:
        number = read_number(words, index)
        if number is None or not number.value.is_integer():
            return None, start
        count, end = int(number.value), number.end
    unit = words[end] if end < len(words) else ""
    if unit in _DAYS:
        return on + timedelta(days=count * _DAYS[unit]), end + 1
    if unit in _MONTHS:
        return months_after(on, count * _MONTHS[unit]), end + 1
    return None, start


def months_after(day: date, months: int) -> date:
    """The same day so many calendar months later; the last of the month where it has none."""
    years, month = divmod(day.month - 1 + months, 12)
    year, month = day.year + years, month + 1
    return date(year, month, min(day.day, calendar.monthrange(year, month)[1]))
