"""What one clause of an utterance amounts to."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from dictate.exam.commands import GoTo, MarkRegion
from dictate.matching.draft import Draft
from dictate.matching.place import Place


@dataclass(slots=True)
class Outcome:
    """What one clause amounts to."""

    what: Literal["finding", "detail", "mark", "go", "aside"]
    draft: Draft | None = None
    command: MarkRegion | GoTo | None = None
    place: Place | None = None
    why: str = ""
    """Why it is put aside."""
    said: str = ""
    """The words that were put aside."""

    @property
    def recorded(self) -> bool:
        """True if it makes a finding or adds to one."""
        return self.what in ("finding", "detail")
