"""What the matcher makes of one utterance."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from typing import Literal

from dictate.exam.commands import Command
from dictate.exam.finding import FindingFields
from dictate.exam.following import LesionToday

UtteranceKind = Literal["finding", "command", "normal", "ignored"]


@dataclass(frozen=True, slots=True)
class Context:
    """Where the examination stands when the utterance comes."""

    region: str | None = None
    """The region being examined (gone to, or last spoken of)."""
    subsite: str | None = None
    side: str | None = None
    last: FindingFields | None = None
    """The finding dictated last, if any: "another one", "same site", "it is tender"."""
    reviewing: bool = False
    """True in the confirmation pass: only commands are heard."""
    paused: bool = False
    """True when listening is paused: only "resume" is heard."""
    gone_to: bool = False
    """True if the region was gone to, and nothing was said of another one since: whatever is
    said without a place is said of it."""
    lesions: tuple[LesionToday, ...] = ()
    """The patient's open lesions of earlier visits, and what was said of each today."""
    asked_lesion: str | None = None
    """In the confirmation pass: the id of the lesion that is asked about."""
    on: date | None = None
    """The day of the visit: "in two weeks" counts from it."""


@dataclass(frozen=True, slots=True)
class Site:
    """Where an utterance spoke of: what the next one may carry on from."""

    region: str | None = None
    subsite: str | None = None
    side: str | None = None


@dataclass(frozen=True, slots=True)
class Reading:
    """Commands for the examination, in order, and how sure the matcher is."""

    kind: UtteranceKind
    confidence: float
    text: str
    commands: tuple[Command, ...] = ()
    not_understood: tuple[str, ...] = field(default=())
    """Words of a finding or command that fitted nothing; never dropped unseen."""
    why: str = ""
    """For an ignored utterance: why it made no finding."""
    site: Site | None = None
    """The place spoken of last, for the context of the next utterance; None if none was."""
