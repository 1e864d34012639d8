"""Which steps stand, and which can be undone and redone."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from dictate.exam import events as ev


class Steps:
    """The undo history of one session, kept from its events alone."""

    def __init__(self) -> None:
        self._done: list[int] = []
        self._undone: list[int] = []
        self._dead: set[int] = set()

    @property
    def done(self) -> tuple[int, ...]:
        """Steps that can be undone, the latest last."""
        return tuple(self._done)

    @property
    def undone(self) -> tuple[int, ...]:
        """Steps that can be redone, the next one last."""
        return tuple(self._undone)

    def take(self, event: ev.Event) -> bool:
        """Note an event. True if earlier events came out of the state or went back into it."""
        body = event.body
        if isinstance(body, ev.Undone):
            self._move(body.step, self._done, self._undone)
            self._dead.add(body.step)
            return True
        if isinstance(body, ev.Redone):
            self._move(body.step, self._undone, self._done)
            self._dead.discard(body.step)
            return True
        if not isinstance(body, ev.PERMANENT) and event.step not in self._done[-1:]:
            self._done.append(event.step)
            self._undone.clear()
        return False

    def standing(self, events: Iterable[ev.Event]) -> Iterator[ev.AnyBody]:
        """The bodies that count: permanent ones, and those of steps not undone."""
        for event in events:
            if event.step not in self._dead or isinstance(event.body, ev.PERMANENT):
                yield event.body

    @staticmethod
    def _move(step: int, source: list[int], goal: list[int]) -> None:
        if not source or source[-1] != step:
            raise ValueError(f"step {step} is not the one to undo or redo")
        goal.append(source.pop())
