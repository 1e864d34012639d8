"""The next step of the examination, in words.

The order of the protocol leads, and can be left: what was left behind comes up again at the end.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from dictate.exam.coverage import RegionCoverage, coverage
from dictate.exam.record import Record
from dictate.exam.state import State
from dictate.vocabulary.schema import Lexicon

COMPLETE = ("findings", "normal", "examined")


@dataclass(frozen=True, slots=True)
class Guidance:
    """What to do now. `region` None: every region of the protocol has been dealt with."""

    region: str | None
    inspect: str | None = None
    palpate: str | None = None
    bimanual: bool = False
    """True if it is felt with both hands, or between two fingers."""
    normal: str | None = None
    """What is found there in health."""
    high_risk: bool = False
    high_risk_parts: tuple[str, ...] = ()
    missing_side: str | None = None
    """The side that is still to be examined, when the other one was."""
    place: int = 0
    """1 for the first region of the protocol; 0 for none and for one that is not in it."""
    count: int = 0
    """Regions of the protocol."""
    left_behind: tuple[str, ...] = ()
    """Regions before this one that nothing was said of."""
    not_examined: tuple[str, ...] = ()
    """All regions that nothing was said of."""

    @property
    def words(self) -> str:
        """The step as a person would say it."""
        if self.region is None:
            return self._closing()
        side = f", {self.missing_side} side" if self.missing_side else ""
        steps = [f"{self.region}{side}"]
        steps += [f"look: {self.inspect}"] if self.inspect else []
        hands = "feel with both hands" if self.bimanual else "feel"
        steps += [f"{hands}: {self.palpate}"] if self.palpate else []
        steps += [f"healthy: {self.normal}"] if self.normal else []
        steps += ["high-risk site"] if self.high_risk else []
        return ". ".join(steps)

    def _closing(self) -> str:
        if not self.not_examined:
            return "Every region has been dealt with. Start the review"
        return f"Not examined: {', '.join(self.not_examined)}. Start the review, or go back"


def next_step(record: Record, lexicon: Lexicon) -> Guidance:
    """The region to examine now: the present one while it is incomplete, else the next.

    `lexicon` gives the words of each step; regions it does not know are named alone.
    """
    state = record.state
    regions = {each.region: each for each in coverage(state)}
    name = state.region
    if name is None or _dealt_with(regions.get(name)):
        name = next(_waiting(state), None)
    missing = tuple(r.region for r in regions.values() if not r.examined and not r.acknowledged)
    order = state.protocol.order
    if name is None:
        return Guidance(region=None, count=len(order), not_examined=_not_examined(state))
    place = order.index(name) + 1 if name in order else 0
    known = next((each for each in lexicon.regions if each.value == name), None)
    risky = tuple(part.value for part in known.subsites if part.high_risk) if known else ()
    return Guidance(
        region=name,
        inspect=known.inspect if known else None,
        palpate=known.palpate if known else None,
        bimanual=known is not None and known.bimanual,
        normal=known.normal if known else None,
        high_risk=known is not None and known.high_risk,
        high_risk_parts=risky,
        missing_side=regions[name].unmentioned if name in regions else None,
        place=place,
        count=len(order),
        left_behind=tuple(each for each in missing if each in order[: max(0, place - 1)]),
        not_examined=missing,
    )


def following_region(state: State) -> str | None:
    """Where "next region" leads: the next one in the order that is not dealt with.

    Once the last one is dealt with, it leads back to those left behind; None at the end.
    """
    order, here = state.protocol.order, state.region
    waiting = [each for each in _waiting(state) if each != here]
    place = order.index(here) if here in order else len(order)
    ahead = [each for each in waiting if order.index(each) > place]
    if ahead:
        return ahead[0]
    done = here not in order or here not in _waiting(state)
    return waiting[0] if waiting and done else state.protocol.after(here)


def _waiting(state: State) -> Iterator[str]:
    """Regions not dealt with: first those after the present one, then those before it."""
    order = state.protocol.order
    start = order.index(state.region) + 1 if state.region in order else 0
    regions = {each.region: each for each in coverage(state)}
    for name in (*order[start:], *order[:start]):
        if not _dealt_with(regions.get(name)):
            yield name


def _dealt_with(region: RegionCoverage | None) -> bool:
    return region is not None and (region.status in COMPLETE or region.acknowledged)


def _not_examined(state: State) -> tuple[str, ...]:
    return tuple(each.region for each in coverage(state) if not each.examined)
