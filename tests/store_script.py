"""A fixed examination, step by step, for tests that interrupt it."""

from __future__ import annotations

import os
import sys
import traceback
from collections.abc import Callable
from pathlib import Path

from dictate.exam.commands import (
    AddFinding,
    Answer,
    ChangeField,
    Pause,
    Redo,
    Resume,
    Sign,
    StartReview,
    Undo,
)
from dictate.exam.events import Event
from dictate.exam.session import Outcome, Session
from dictate.store.store import Store
from tests.exam_samples import PLAQUE, Chair

STEPS: tuple[Callable[[Chair], Outcome], ...] = (
    lambda chair: chair.plaque(side=None),
    lambda chair: chair.hear("how are the children", kind="ignored"),
    lambda chair: chair.key(ChangeField(target="f1", field="side", value="left")),
    lambda chair: chair.plaque(side="right", note="Umlaut \u00e4, line\u2028separator, \U0001f9b7"),
    lambda chair: chair.key(Undo()),
    lambda chair: chair.key(Redo()),
    lambda chair: chair.key(Pause()),
    lambda chair: chair.key(Resume()),
    lambda chair: chair.key(AddFinding(fields=PLAQUE.model_copy(update={"kind": "ulcer"}))),
    lambda chair: chair.key(StartReview()),
    *(7 * (lambda chair: chair.voice(Answer(yes=True)),)),
    lambda chair: chair.key(Sign(examiner="A. Berg")),
)


def run(store: Store, report: Callable[[int], None] = lambda _: None) -> Session:
    """Play the whole examination into the store; `report` gets the last seq kept."""
    chair = Chair()
    store.create(chair.session)
    report(1)
    return go_on(chair, store, report)


def go_on(chair: Chair, store: Store, report: Callable[[int], None] = lambda _: None) -> Session:
    """Play the steps that are not in the session yet."""
    done = chair.session.events[-1].step
    for number, step in enumerate(STEPS, start=1):
        if number > done:
            events = step(chair).events
            store.append(chair.session.id, events)
            report(events[-1].seq)
        else:
            chair.tick()
    return chair.session


def expected() -> tuple[Event, ...]:
    """The events of the whole examination."""
    chair = Chair()
    for step in STEPS:
        step(chair)
    return chair.session.events


def journal_of(home: Path, session_id: str = "s1") -> Path:
    return home / "drafts" / f"{session_id}.jsonl"


def in_child(act: Callable[[], None]) -> None:
    """Runs `act` in a process of its own; fails when it fails."""
    child = os.fork()
    if child == 0:  # pragma: no cover
        try:
            act()
        except BaseException:
            traceback.print_exc(file=sys.__stderr__)
            os._exit(1)
        os._exit(0)
    _, status = os.waitpid(child, 0)
    assert os.waitstatus_to_exitcode(status) == 0
