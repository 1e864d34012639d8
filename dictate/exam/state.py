"""The state of an examination, folded from its events."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from functools import singledispatch

from dictate.exam import events as ev
from dictate.exam.commands import RegionState
from dictate.exam.finding import Alternative, Doubt, FieldValue, Finding
from dictate.exam.following import Following, followed
from dictate.exam.protocol import Protocol
from dictate.vocabulary.followup import FollowUp

MarkKey = tuple[str, RegionState, str | None]
"""Region, what was done there, and the side it was said of (None: no side said)."""


@dataclass(frozen=True, slots=True)
class Mark:
    """A statement about a region."""

    reason: str | None = None
    doubt: str | None = None


@dataclass(frozen=True, slots=True)
class State:
    """Everything that the events so far amount to. Undone steps leave no trace in it."""

    session: str = ""
    on: date = date.min
    """The day of the visit; in old records, whose start does not tell it, that of the start."""
    followup: FollowUp | None = None
    protocol: Protocol = field(default_factory=lambda: Protocol(stations=()))
    findings: tuple[Finding, ...] = ()
    marks: Mapping[MarkKey, Mark] = field(default_factory=dict)
    """In the order they were made: the later one counts."""
    region: str | None = None
    """The region being examined."""
    gone_to: bool = False
    """True if it was gone to, and nothing was said of another region since."""
    paused: bool = False
    reviewing: bool = False
    confirmed: frozenset[str] = frozenset()
    acknowledged: Mapping[str, str | None] = field(default_factory=dict)
    """Regions acknowledged as not examined, with the reason given."""
    contradictions: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    """Regions called normal in spite of these findings, accepted in the review."""
    seen_aside: frozenset[str] = frozenset()
    skipped: tuple[str, ...] = ()
    promoted: Mapping[str, str] = field(default_factory=dict)
    """Utterance id to the finding made of it."""
    patient: str | None = None
    """The clinic's own identifier."""
    newcomer: str | None = None
    """Why the patient's identifier is still to be confirmed; None when it need not be."""
    examiner: str | None = None
    version: int = 0
    """0 for a draft, 1 once signed, one more with each amendment."""
    following: Following = field(default_factory=Following)
    """Earlier lesions, decisions and the risk history."""

    def finding(self, target: str) -> Finding | None:
        return next((each for each in self.findings if each.id == target), None)


def fold(bodies: Iterable[ev.Body], state: State | None = None) -> State:
    """The state after these events."""
    state = state or State()
    for body in bodies:
        state = apply(body, state)
    return state


def apply(body: ev.Body, state: State) -> State:
    """The state after one event; events without effect on it return it unchanged."""
    after = _apply(body, state)
    following = followed(body, after.following)
    return after if following is after.following else replace(after, following=following)


@singledispatch
def _apply(body: ev.Body, state: State) -> State:
    return state


@_apply.register
def _(body: ev.SessionStarted, state: State) -> State:
    return replace(
        state,
        session=body.id,
        on=body.on or state.on,
        followup=body.followup,
        protocol=body.protocol,
        patient=body.patient,
        newcomer=body.newcomer,
    )


@_apply.register
def _(body: ev.PatientConfirmed, state: State) -> State:
    # A draft that was given to another patient afterwards has still to be confirmed.
    return replace(state, newcomer=None) if body.patient == state.patient else state


@_apply.register
def _(body: ev.FindingAdded, state: State) -> State:
    return replace(
        state,
        findings=(*state.findings, body.finding),
        region=body.finding.region or state.region,
        gone_to=state.gone_to and body.finding.region in (None, state.region),
    )


@_apply.register
def _(body: ev.FieldChanged, state: State) -> State:
    changes = {body.field: body.new}
    return _changed(state, body, changes)


@_apply.register
def _(body: ev.DetailAdded, state: State) -> State:
    return _changed(state, body, {each.field: each.new for each in body.changes})


@_apply.register
def _(body: ev.FieldSettled, state: State) -> State:
    finding = _found(state, body.target)
    return _put(state, without_doubt(finding, body.field))


@_apply.register
def _(body: ev.FindingDeleted, state: State) -> State:
    kept = tuple(each for each in state.findings if each.id != body.target)
    return replace(state, findings=kept, confirmed=state.confirmed - {body.target})


@_apply.register
def _(body: ev.RegionMarked, state: State) -> State:
    key = (body.region, body.state, body.side)
    marks = {k: v for k, v in state.marks.items() if k != key and not _overrules(key, k)}
    marks[key] = Mark(body.reason, body.doubt)
    stays = state.gone_to and body.region == state.region
    return replace(state, marks=marks, region=body.region, gone_to=stays)


def _overrules(new: MarkKey, old: MarkKey) -> bool:
    """True if the new statement takes back the old: examined against not examined."""
    if new[0] != old[0] or (new[1] == "not_examined") == (old[1] == "not_examined"):
        return False
    return new[2] in (None, "bilateral", old[2])


@_apply.register
def _(body: ev.MarkSettled, state: State) -> State:
    key = (body.region, body.state, body.side)
    return replace(state, marks={**state.marks, key: replace(state.marks[key], doubt=None)})


@_apply.register
def _(body: ev.MarkWithdrawn, state: State) -> State:
    gone = (body.region, body.state, body.side)
    return replace(state, marks={k: v for k, v in state.marks.items() if k != gone})


@_apply.register
def _(body: ev.RegionEntered, state: State) -> State:
    return replace(state, region=body.region, gone_to=not body.doubted, reviewing=False)


@_apply.register
def _(body: ev.ListeningPaused, state: State) -> State:
    return replace(state, paused=True)


@_apply.register
def _(body: ev.ListeningResumed, state: State) -> State:
    return replace(state, paused=False)


@_apply.register
def _(body: ev.ReviewStarted, state: State) -> State:
    return replace(state, reviewing=True, skipped=())


@_apply.register
def _(body: ev.FindingConfirmed, state: State) -> State:
    return replace(state, confirmed=state.confirmed | {body.target})


@_apply.register
def _(body: ev.LesionToldApart, state: State) -> State:
    return replace(state, confirmed=state.confirmed - {body.finding})


@_apply.register
def _(body: ev.ContradictionAccepted, state: State) -> State:
    accepted = {**state.contradictions, body.region: body.findings}
    return replace(state, contradictions=accepted)


@_apply.register
def _(body: ev.Acknowledged, state: State) -> State:
    named = dict.fromkeys(body.regions, body.reason)
    return replace(state, acknowledged={**state.acknowledged, **named})


@_apply.register
def _(body: ev.SetAsideAcknowledged, state: State) -> State:
    return replace(state, seen_aside=state.seen_aside | set(body.utterances))


@_apply.register
def _(body: ev.QuestionSkipped, state: State) -> State:
    rest = tuple(key for key in state.skipped if key != body.key)
    return replace(state, skipped=(*rest, body.key))


@_apply.register
def _(body: ev.UtterancePromoted, state: State) -> State:
    return replace(state, promoted={**state.promoted, body.utterance: body.finding})


@_apply.register
def _(body: ev.Signed, state: State) -> State:
    return replace(state, examiner=body.examiner, version=1, reviewing=False, paused=False)


@_apply.register
def _(body: ev.Amended, state: State) -> State:
    struck = {each.id for each in body.struck}
    findings = [each for each in state.findings if each.id not in struck]
    for change in body.changed:
        findings = [
            with_fields(each, {change.field: change.new}) if each.id == change.target else each
            for each in findings
        ]
    return replace(state, findings=(*findings, *body.added), version=body.version)


def with_fields(finding: Finding, changes: Mapping[str, FieldValue]) -> Finding:
    """The finding with other values, validated. Raises pydantic's ValidationError."""
    data = finding.model_dump()
    data.update(changes)
    return Finding.model_validate(data)


def without_doubt(finding: Finding, field_name: str) -> Finding:
    """The finding with that field settled: no doubt and no alternatives left on it."""
    return finding.model_copy(
        update={
            "needs_review": tuple(d for d in finding.needs_review if d.field != field_name),
            "alternatives": tuple(a for a in finding.alternatives if a.field != field_name),
        }
    )


def _changed(
    state: State, body: ev.FieldChanged | ev.DetailAdded, changes: Mapping[str, FieldValue]
) -> State:
    old = _found(state, body.target)
    update: dict[str, str | tuple[Doubt, ...] | tuple[Alternative, ...] | tuple[str, ...]] = {
        "needs_review": body.needs_review,
        "alternatives": body.alternatives,
    }
    if body.said and body.said not in old.said.split("; "):
        update["said"] = f"{old.said}; {body.said}" if old.said else body.said
    if body.utterance and body.utterance not in old.utterances:
        update["utterances"] = (*old.utterances, body.utterance)
    return _put(state, with_fields(old, changes).model_copy(update=update))


def _put(state: State, finding: Finding) -> State:
    """The finding in place of its old self. A change re-opens its confirmation."""
    findings = tuple(finding if each.id == finding.id else each for each in state.findings)
    return replace(state, findings=findings, confirmed=state.confirmed - {finding.id})


def _found(state: State, target: str) -> Finding:
    finding = state.finding(target)
    if finding is None:
        raise ValueError(f"an event speaks of finding {target}, which is not there")
    return finding
