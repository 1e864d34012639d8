"""The risk history: what a patient tells of tobacco, alcohol and the like."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Literal, get_args

from pydantic import BaseModel, ConfigDict

RiskAnswer = Literal["yes", "former", "no", "unknown"]
ANSWERS: tuple[RiskAnswer, ...] = get_args(RiskAnswer)


class Risk(BaseModel):
    """One line of it."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    factor: str
    """ "tobacco", "alcohol" ...: a value of the vocabulary."""
    answer: RiskAnswer
    words: str = ""
    """As it was said: amounts and years are in it."""
    doubt: str | None = None
    """Why it must be confirmed; None when it need not be."""


def risk_words(risk: Risk) -> str:
    """ "tobacco: yes ("smokes twenty a day")"."""
    said = f' ("{risk.words}")' if risk.words else ""
    return f"{risk.factor}: {risk.answer}{said}"


def risks_words(risks: Iterable[Risk]) -> str:
    """All of it in one line."""
    return "; ".join(map(risk_words, risks))
