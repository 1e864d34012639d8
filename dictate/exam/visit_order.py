"""The order of a patient's visits, also where the clock was set back between them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import timedelta

from dictate.exam.visits import Visit

_NEXT = timedelta(microseconds=1)


@dataclass(frozen=True, slots=True)
class Late:
    """How much later a visit was than its clock said, at the least; zero for a right clock."""

    time: timedelta = timedelta(0)
    days: timedelta = timedelta(0)


def in_order(visits: Iterable[Visit]) -> tuple[list[Visit], Mapping[str, Late]]:
    """The visits as they followed one another, and by session how late each was.

    By their clocks; but one that speaks of a lesion came after the visit that found it.
    """
    known = {each.session: each for each in visits}
    signed = {name: each.signed for name, each in known.items()}
    on = {name: each.on for name, each in known.items()}
    for _ in known:  # as often as there are visits, at the most, also for references in a ring
        moved = False
        for name, visit in known.items():
            for before in _found_at(visit):
                if before in known and signed[name] <= signed[before]:
                    signed[name], moved = signed[before] + _NEXT, True
                    on[name] = max(on[name], on[before])
        if not moved:
            break
    ordered = sorted(known.values(), key=lambda each: (signed[each.session], each.session))
    late = {
        name: Late(signed[name] - each.signed, on[name] - each.on) for name, each in known.items()
    }
    return ordered, late


def _found_at(visit: Visit) -> Iterator[str]:
    """Sessions in which the earlier lesions were found that this visit speaks of."""
    followed = (each.lesion for each in visit.seen if each.lesion is not None)
    for name in (*followed, *visit.resolved, *visit.left, *(name for name, _ in visit.decisions)):
        session = name.rpartition("/")[0]
        if session != visit.session:
            yield session
