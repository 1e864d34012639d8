"""A question of the confirmation pass."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from dictate.exam.state import MarkKey

Kind = Literal[
    "patient",
    "field",
    "finding",
    "link",
    "lesion",
    "mark",
    "contradiction",
    "region",
    "risk",
    "aside",
    "decision",
]


@dataclass(frozen=True, slots=True)
class Question:
    """One thing to decide. `key` names it for as long as it is open."""

    key: str
    kind: Kind
    text: str
    finding: str | None = None
    field: str | None = None
    region: str | None = None
    mark: MarkKey | None = None
    items: tuple[str, ...] = ()
    """Findings of a contradiction; utterances set aside; risk factors; prompts of a decision."""
    lesion: str | None = None
    """Id of the earlier lesion that it is about."""
    asked: str = ""
    """Of a decision: the text without the prompts, which stand in `items`."""
    choices: bool = False
    """True where only one of several choices answers it, and no yes."""

    @property
    def aloud(self) -> str:
        """The words to be read aloud: sources of rules stand on the screen alone."""
        if not self.asked:
            return self.text
        return " ".join((self.asked, *(each.partition(" [")[0] for each in self.items)))
