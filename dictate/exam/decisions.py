"""What a clinician decides on a finding, and the answer that comes back."""

from __future__ import annotations

from datetime import date
from typing import Literal

from pydantic import BaseModel, ConfigDict

DecisionKind = Literal["recheck", "refer", "biopsy", "no_action"]
TITLES: dict[DecisionKind, str] = {
    "recheck": "re-check",
    "refer": "refer or evaluate further",
    "biopsy": "biopsy advised",
    "no_action": "no action",
}
AWAITED: tuple[DecisionKind, ...] = ("refer", "biopsy")
"""Decisions that somebody else answers."""


class _Value(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class Decision(_Value):
    """One decision, complete: its date and its reason are filled in."""

    decision: DecisionKind
    due: date | None = None
    """The day of the re-check, or the day when a missing answer is asked after."""
    reason: str = ""
    prompts: tuple[str, ...] = ()
    """Names of the follow-up rules that it was made in view of."""


class AnswerGiven(_Value):
    """What came back on a lesion that was referred or biopsied."""

    lesion: str
    """The lesion's id."""
    answer: str
    on: date
    recheck: date | None = None
    """The day it is looked at again after that; None: no day was set."""


def decision_words(decision: Decision) -> str:
    """ "re-check on 18 March 2031: no cause found"."""
    words = TITLES[decision.decision]
    if decision.due is not None:
        joint = "on" if decision.decision == "recheck" else "with an answer by"
        words += f" {joint} {day_words(decision.due)}"
    return f"{words}: {decision.reason}" if decision.reason else words


_MONTHS = (
    *("January", "February", "March", "April", "May", "June", "July"),
    *("August", "September", "October", "November", "December"),
)


def day_words(day: date) -> str:
    """ "18 March 2031", whatever the language of the machine."""
    return f"{day.day} {_MONTHS[day.month - 1]} {day.year}"
