"""The shape of the words for the risk history, and for what became of a lesion since last time."""

from __future__ import annotations

from typing import Annotated

from pydantic import BaseModel, ConfigDict, StringConstraints

Spoken = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, to_lower=True)]


class _Strict(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class RiskFactor(_Strict):
    """One line of the risk history, and the ways each answer is spoken."""

    value: str
    yes: tuple[Spoken, ...] = ()
    """Forms that say it is so now ("smokes")."""
    former: tuple[Spoken, ...] = ()
    no: tuple[Spoken, ...] = ()
    unknown: tuple[Spoken, ...] = ()
    source: str | None = None
    note: str | None = None

    def forms(self) -> dict[str, str]:
        """Every spoken form with the answer it gives."""
        answers = ("yes", "former", "no", "unknown")
        return {form: name for name in answers for form in getattr(self, name)}


class VisitTerm(_Strict):
    """A word of a follow-up visit and the ways it is spoken."""

    value: Annotated[
        str,
        StringConstraints(
            pattern="^(lesion|finding|same|smaller|larger|changed|resolved|not_seen"
            "|recheck|refer|biopsy|no_action|because)$"
        ),
    ]
    say: tuple[Spoken, ...]
    source: str | None = None
