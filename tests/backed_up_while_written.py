"""Two chairs that dictate while backups are made, and what must be in each backup."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from dictate.exam.session import Session
from dictate.store.entry import Entry
from dictate.store.store import Store
from tests.exam_samples import PROTOCOL, START, Chair

Acknowledged = dict[str, Entry]
"""By id: what a person had been shown as kept before the backup began."""


def backups_while_written(
    open_as: Callable[[str], Store],
    desk: Callable[[], Store],
    back_up: Callable[[int], Path],
    count: int,
) -> list[tuple[Path, Acknowledged]]:
    """So many backups, each some ten events after the one before.

    `open_as`: the store of a chair of that name; `desk`: one that looks on.
    """
    backups = []
    with writing(open_as) as wait:
        for number in range(count):
            wait()
            with desk() as store:
                acknowledged = {each.id: each for each in store.list()}
            backups.append((back_up(number), acknowledged))
    return backups


@contextmanager
def writing(open_as: Callable[[str], Store]) -> Iterator[Callable[[], None]]:
    """While it is open, two chairs begin, dictate and sign. The call waits for ten more events."""
    stop, failures, written = threading.Event(), list[BaseException](), list[int]()

    def dictate(name: str) -> None:
        try:
            with open_as(name) as store:
                for turn in range(1000):
                    seat = Chair(Session.start(f"{name}-{turn}", PROTOCOL, START, patient="P-17"))
                    store.create(seat.session)
                    for _ in range(4):
                        store.append(seat.session.id, seat.plaque().events)
                        written.append(1)
                    if stop.is_set():
                        return  # in the middle of a draft
                    seat.signed()
                    store.append(seat.session.id, seat.session.events)
        except BaseException as error:
            failures.append(error)

    def wait() -> None:
        seen = len(written)
        while len(written) < seen + 10 and not failures:
            stop.wait(0.01)

    threads = [threading.Thread(target=dictate, args=(name,)) for name in ("a", "b")]
    for thread in threads:
        thread.start()
    try:
        yield wait
    finally:
        stop.set()
        for thread in threads:
            thread.join()
    assert failures == []


def all_is_there(store: Store, acknowledged: Acknowledged) -> None:
    """Everything acknowledged is in the restored store, and what was signed is final."""
    found = {each.id: each for each in store.list()}
    for name, entry in acknowledged.items():
        assert name in found
        assert entry.state == "draft" or found[name].state == "final"
        assert store.load(name).id == name
