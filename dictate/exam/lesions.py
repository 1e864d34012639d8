"""A lesion: what several visits recorded of one place."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from typing import Literal

from pydantic import BaseModel, ConfigDict

from dictate.exam.decisions import AWAITED, Decision
from dictate.exam.finding import BOTH, FindingFields, sides_meet
from dictate.exam.readback import place_words, size_words

What = Literal["new", "same", "changed", "linked", "resolved", "not looked at"]


class _Value(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class Sighting(_Value):
    """What one visit recorded of a lesion."""

    session: str
    on: date
    what: What
    finding: str | None = None
    """The finding's id in that session; None where there is none (resolved, not looked at)."""
    fields: FindingFields | None = None


class Plan(_Value):
    """A decision on the lesion, who made it when, and what was answered."""

    decision: Decision
    on: date
    by: str
    session: str
    finding: str | None = None
    answer: str | None = None
    answered_on: date | None = None

    @property
    def awaited(self) -> bool:
        """True if an answer is still to come."""
        return self.decision.decision in AWAITED and self.answer is None


class Lesion(_Value):
    """One lesion of one patient, over all visits that were signed."""

    id: str
    """ "session/finding" of its first record: unique everywhere, and never given anew."""
    number: int
    """Counts the patient's lesions from 1, in the order they were recorded."""
    patient: str | None
    sightings: tuple[Sighting, ...]
    """In order of time; never empty."""
    plans: tuple[Plan, ...] = ()
    """In the order of the days that they count from."""

    @property
    def label(self) -> str:
        """What it is called by: "L2"."""
        return f"L{self.number}"

    @property
    def first_seen(self) -> date:
        return self.sightings[0].on

    @property
    def seen(self) -> tuple[Sighting, ...]:
        """The sightings that describe it."""
        return tuple(each for each in self.sightings if each.fields is not None)

    @property
    def latest(self) -> Sighting:
        """The last description of it."""
        return self.seen[-1]

    @property
    def fields(self) -> FindingFields:
        """As it was described last."""
        fields = self.latest.fields
        return fields if fields is not None else FindingFields()

    @property
    def clash(self) -> tuple[str, str] | None:
        """The field of the place that visits disagree on, and in which words; None for none.

        It comes of an amendment: what later visits took over from the visit amended stays.
        """
        for name in ("region", "side"):
            told = [(each.on, getattr(each.fields, name)) for each in self.seen]
            if len({value for _, value in told if name == "region" or value in BOTH}) > 1:
                words = ", ".join(f"{value or 'not said'} on {on}" for on, value in told)
                return name, f"visits disagree on the {name} of {self.label}: {words}"
        return None

    @property
    def state(self) -> Literal["open", "resolved"]:
        told = [each for each in self.sightings if each.what != "not looked at"]
        return "resolved" if told and told[-1].what == "resolved" else "open"

    def since(self, plan: Plan) -> date:
        """The day a decision counts from: its visit's, also where an amendment changed it later."""
        if plan.finding is None:
            return plan.on
        seen = (each.on for each in self.sightings if each.session == plan.session)
        return next(seen, plan.on)

    @property
    def plan(self) -> Plan | None:
        """The decision made last, if any."""
        return self.plans[-1] if self.plans else None

    @property
    def awaited(self) -> tuple[Plan, ...]:
        """Referrals and biopsies that nobody has answered."""
        return tuple(each for each in self.plans if each.awaited)

    def sizes(self) -> Iterator[tuple[date, tuple[float, ...]]]:
        """Each measured size, in mm in the order spoken, with its day."""
        for each in self.sightings:
            if each.fields is not None and each.fields.size_mm:
                yield each.on, each.fields.size_mm


def lesion_words(lesion: Lesion) -> str:
    """ "L2, left lateral border of the tongue, plaque, 10 by 6 mm on 2031-03-04"."""
    fields = lesion.fields
    size = size_words(fields.size_mm) if fields.size_mm else "not measured"
    kind = fields.kind or "finding"
    return f"{lesion.label}, {place_words(fields)}, {kind}, {size} on {lesion.latest.on}"


def may_be_same(fields: FindingFields, lesion: Lesion) -> bool:
    """True if a finding lies where the lesion was: somebody must say whether it is that one.

    The kind is not compared: a plaque may have become an ulcer.
    """
    old = lesion.fields
    if fields.region is None or fields.region != old.region:
        return False
    if fields.node_level and old.node_level and fields.node_level != old.node_level:
        return False
    if fields.subsite and old.subsite and not _parts_meet(fields.subsite, old.subsite):
        return False
    return sides_meet(fields.side, old.side)


def _parts_meet(one: str, other: str) -> bool:
    """True if one part may lie in the other: "posterior lateral border", "lateral border"."""
    a, b = set(one.split()), set(other.split())
    return a <= b or b <= a
