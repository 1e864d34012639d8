"""A session in the list of sessions."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from pydantic import AwareDatetime, BaseModel, ConfigDict

from dictate.errors import StoreError
from dictate.exam.events import Amended, Event, SessionStarted, Signed


class Entry(BaseModel):
    """What can be said of a session without reading all of it."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    id: str
    created: AwareDatetime
    state: Literal["draft", "final"]
    examiner: str | None = None
    """Who signed it; None for a draft."""
    patient: str | None = None
    version: int = 0
    """0 for a draft, 1 once signed, one more with each amendment."""


def summary(session_id: str, events: Sequence[Event]) -> Entry:
    """The entry that these events make. Raises StoreError when they are another session's."""
    first = events[0].body if events else None
    if not isinstance(first, SessionStarted) or first.id != session_id:
        raise StoreError(f"The events are not those of session {session_id}; restore a backup.")
    signed = [each.body for each in events if isinstance(each.body, Signed)]
    amended = [each.body for each in events if isinstance(each.body, Amended)]
    return Entry(
        id=session_id,
        created=events[0].at,
        state="final" if signed else "draft",
        examiner=signed[0].examiner if signed else None,
        patient=first.patient,
        version=amended[-1].version if amended else len(signed[:1]),
    )
