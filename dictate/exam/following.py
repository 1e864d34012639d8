"""What the events say beyond today's findings: earlier lesions, decisions, risk history."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import singledispatch
from typing import Literal, TypeVar

from dictate.exam import events as ev
from dictate.exam.decisions import AnswerGiven, Decision
from dictate.exam.finding import Finding
from dictate.exam.lesions import Lesion
from dictate.exam.risks import Risk

LesionStatus = Literal["not mentioned", "same", "changed", "linked", "resolved", "not looked at"]
Key = TypeVar("Key")
Kept = TypeVar("Kept")
_PLACE = frozenset({"region", "subsite", "side", "node_level"})
_MOVED = "its place was changed after that"


@dataclass(frozen=True, slots=True)
class Link:
    """A finding of today and the earlier lesion that it is."""

    lesion: str
    what: Literal["same", "changed", "linked"]
    doubt: str | None = None


@dataclass(frozen=True, slots=True)
class Made:
    """A decision, and why it must be confirmed if it must."""

    decision: Decision
    doubt: str | None = None


@dataclass(frozen=True, slots=True)
class Following:
    """All of it, as it stands."""

    lesions: tuple[Lesion, ...] = ()
    """Open when the visit began."""
    links: Mapping[str, Link] = field(default_factory=dict)
    """By the finding's id."""
    resolved: Mapping[str, str | None] = field(default_factory=dict)
    """Lesion id to the doubt in it, if any."""
    left: Mapping[str, str | None] = field(default_factory=dict)
    """Lesion id to the reason why it was not looked at."""
    apart: frozenset[tuple[str, str]] = frozenset()
    """(finding, lesion): said not to be the same."""
    decisions: Mapping[str, Made] = field(default_factory=dict)
    """By finding or lesion id."""
    answers: tuple[AnswerGiven, ...] = ()
    risks: Mapping[str, Risk] = field(default_factory=dict)
    """By factor, in the order noted."""

    def lesion(self, name: str) -> Lesion | None:
        """The lesion of that id or label."""
        wanted = name.strip().upper()
        return next((x for x in self.lesions if name == x.id or wanted == x.label), None)

    def lesion_of(self, finding: str) -> Lesion | None:
        """The earlier lesion that a finding is, if it is one."""
        link = self.links.get(finding)
        return self.lesion(link.lesion) if link else None

    def finding_of(self, lesion: str) -> str | None:
        """Today's finding of an earlier lesion, if it was described today."""
        return next((name for name, link in self.links.items() if link.lesion == lesion), None)


@dataclass(frozen=True, slots=True)
class LesionToday:
    """An open lesion of an earlier visit, and what was said of it today."""

    lesion: Lesion
    status: LesionStatus
    finding: Finding | None = None
    """Today's description of it."""
    reason: str | None = None
    """Why it was not looked at."""


def today(following: Following, findings: Iterable[Finding]) -> tuple[LesionToday, ...]:
    """Every open lesion, in the order of its number."""
    by_id = {each.id: each for each in findings}
    return tuple(_today(each, following, by_id) for each in following.lesions)


def _today(lesion: Lesion, following: Following, findings: Mapping[str, Finding]) -> LesionToday:
    name = following.finding_of(lesion.id)
    if name is not None:
        return LesionToday(lesion, following.links[name].what, findings.get(name))
    if lesion.id in following.resolved:
        return LesionToday(lesion, "resolved")
    if lesion.id in following.left:
        return LesionToday(lesion, "not looked at", reason=following.left[lesion.id])
    return LesionToday(lesion, "not mentioned")


@singledispatch
def followed(body: ev.Body, now: Following) -> Following:
    """What stands after one event; most events leave it as it is."""
    return now


@followed.register
def _(body: ev.SessionStarted, now: Following) -> Following:
    return replace(now, lesions=body.lesions) if body.lesions else now


@followed.register
def _(body: ev.LesionFollowed, now: Following) -> Following:
    link = Link(body.lesion, body.what, body.doubt)
    return replace(
        now,
        links={**now.links, body.finding: link},
        apart=now.apart - {(body.finding, body.lesion)},
        resolved=_without(now.resolved, body.lesion),
        left=_without(now.left, body.lesion),
    )


@followed.register
def _(body: ev.LinkSettled, now: Following) -> Following:
    link = replace(now.links[body.finding], doubt=None)
    return replace(now, links={**now.links, body.finding: link})


@followed.register
def _(body: ev.LesionToldApart, now: Following) -> Following:
    link = now.links.get(body.finding)
    cut = link is not None and link.lesion == body.lesion
    return replace(
        now,
        links=_without(now.links, body.finding) if cut else now.links,
        apart=now.apart | {(body.finding, body.lesion)},
    )


@followed.register
def _(body: ev.LesionResolved, now: Following) -> Following:
    return replace(
        now,
        resolved={**now.resolved, body.lesion: body.doubt},
        left=_without(now.left, body.lesion),
    )


@followed.register
def _(body: ev.LesionLeft, now: Following) -> Following:
    return replace(
        now,
        left={**now.left, body.lesion: body.reason},
        resolved=_without(now.resolved, body.lesion),
    )


@followed.register
def _(body: ev.LesionSettled, now: Following) -> Following:
    return replace(now, resolved={**now.resolved, body.lesion: None})


@followed.register
def _(body: ev.LesionReopened, now: Following) -> Following:
    return replace(
        now,
        resolved=_without(now.resolved, body.lesion),
        left=_without(now.left, body.lesion),
    )


@followed.register
def _(body: ev.DecisionMade, now: Following) -> Following:
    made = Made(body.decision, body.doubt)
    return replace(now, decisions={**now.decisions, body.target: made})


@followed.register
def _(body: ev.DecisionSettled, now: Following) -> Following:
    made = replace(now.decisions[body.target], doubt=None)
    return replace(now, decisions={**now.decisions, body.target: made})


@followed.register
def _(body: ev.DecisionWithdrawn, now: Following) -> Following:
    return replace(now, decisions=_without(now.decisions, body.target))


@followed.register
def _(body: ev.AnswerRecorded, now: Following) -> Following:
    return replace(now, answers=(*now.answers, body.given))


@followed.register
def _(body: ev.RiskNoted, now: Following) -> Following:
    return replace(now, risks={**now.risks, body.risk.factor: body.risk})


@followed.register
def _(body: ev.RisksConfirmed, now: Following) -> Following:
    settled = {
        name: now.risks[name].model_copy(update={"doubt": None})
        for name in body.factors
        if name in now.risks
    }
    return replace(now, risks={**now.risks, **settled})


@followed.register
def _(body: ev.RiskDropped, now: Following) -> Following:
    return replace(now, risks=_without(now.risks, body.factor))


@followed.register
def _(body: ev.FindingDeleted, now: Following) -> Following:
    return _gone(now, {body.target})


@followed.register
def _(body: ev.FieldChanged, now: Following) -> Following:
    return _moved(now, body.target, {body.field})


@followed.register
def _(body: ev.DetailAdded, now: Following) -> Following:
    return _moved(now, body.target, {each.field for each in body.changes})


@followed.register
def _(body: ev.Amended, now: Following) -> Following:
    made = {each.target: Made(each.decision) for each in body.decided}
    kept = _gone(now, {each.id for each in body.struck})
    return replace(
        kept,
        decisions={**kept.decisions, **made},
        answers=(*kept.answers, *body.answered),
    )


def _gone(now: Following, findings: set[str]) -> Following:
    """Without what was said of findings that are no longer there."""
    if not findings & ({*now.links, *now.decisions} | {finding for finding, _ in now.apart}):
        return now
    return replace(
        now,
        links={name: link for name, link in now.links.items() if name not in findings},
        decisions={name: made for name, made in now.decisions.items() if name not in findings},
        apart=frozenset(pair for pair in now.apart if pair[0] not in findings),
    )


def _moved(now: Following, finding: str, fields: set[str]) -> Following:
    """A finding that was put elsewhere may not be that lesion after all."""
    link = now.links.get(finding)
    if link is None or not fields & _PLACE:
        return now
    return replace(now, links={**now.links, finding: replace(link, doubt=_MOVED)})


def _without(kept: Mapping[Key, Kept], key: Key) -> Mapping[Key, Kept]:
    return {name: value for name, value in kept.items() if name != key}
