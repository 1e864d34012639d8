"""Two chairs that went on with one draft apart: the second becomes a draft of its own."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from dictate.errors import StoreError
from dictate.exam.events import Event, SessionStarted
from dictate.store.chain import linked
from dictate.store.drafts import Draft, DraftFolder
from dictate.store.sealing import Sealer


def parted(
    draft: Draft, folder: DraftFolder, sealer: Sealer, taken: Callable[[str], bool]
) -> Draft:
    """A draft, on the disk, with the events of this one under the next free id.

    After a crash half-way it is the one that was made then. Raises StoreError.
    """
    for session_id in _names(draft.path.stem):
        events = _renamed(draft.events, session_id)
        if folder.has(session_id):
            if folder.read(session_id) == events:
                return folder.open(session_id)
        elif not taken(session_id):
            return folder.restore(session_id, linked(sealer, events))
    raise StoreError(
        f"There are too many versions of session {draft.path.stem}; sign or discard some."
    )


def _names(session_id: str) -> Iterator[str]:
    yield from (f"{session_id[:60]}-{letter}" for letter in "bcdefghijklmnopqrstuvwxyz")


def _renamed(events: Sequence[Event], session_id: str) -> tuple[Event, ...]:
    """The same events; the first says under which id they are kept."""
    first, *rest = events
    if not isinstance(first.body, SessionStarted):
        raise StoreError("The draft does not begin as one; restore it from a backup.")
    body = first.body.model_copy(update={"id": session_id})
    return (first.model_copy(update={"body": body}), *rest)
