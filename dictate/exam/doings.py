"""What a person did, of each event: the lines of the audit trail."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any

from dictate.exam import events as ev
from dictate.exam.decisions import AnswerGiven, decision_words
from dictate.exam.finding import Finding
from dictate.exam.readback import finding_words, mark_words, title, value_words
from dictate.exam.risks import risk_words


@dataclass(frozen=True, slots=True)
class Doing:
    """An act and what it was about, old and new value included."""

    verb: str
    words: str = ""


def doing(event: ev.Event) -> Doing:
    """What the event says was done."""
    body = event.body
    if isinstance(body, ev.UtteranceHeard):
        spoken = (event.via or event.actor) == ev.VOICE
        return Doing("dictated" if spoken else "typed", _heard(body))
    verb, words = _WORDS[body.type]
    return Doing(verb, words(body))


def _nothing(_: Any) -> str:
    return ""


def _heard(body: ev.UtteranceHeard) -> str:
    return f'"{body.text}"' if body.text else body.why


def _target(body: Any) -> str:
    return str(body.target)


def _delta(each: ev.FieldDelta) -> str:
    old, new = value_words(each.field, each.old), value_words(each.field, each.new)
    return f"{title(each.field)}: {old} -> {new}"


def _changed(body: ev.FieldChanged) -> str:
    return f"{body.target} {_delta(ev.FieldDelta(field=body.field, old=body.old, new=body.new))}"


def _detailed(body: ev.DetailAdded) -> str:
    return f"{body.target} {'; '.join(map(_delta, body.changes))}"


def _finding(finding: Finding) -> str:
    return f"{finding.id} {finding_words(finding)}"


def _marked(body: ev.RegionMarked) -> str:
    return mark_words(body.region, body.state, body.side, body.reason)


def _settled(body: ev.MarkSettled | ev.MarkWithdrawn) -> str:
    return mark_words(body.region, body.state, body.side, None)


def _followed(body: ev.LesionFollowed) -> str:
    return f"{body.finding} is lesion {body.lesion}: {body.what}"


def _answered(given: AnswerGiven) -> str:
    return f"{given.lesion}, answer of {given.on}: {given.answer}"


def _amended(body: ev.Amended) -> str:
    parts = [f"{each.target} {_delta(each)}" for each in body.changed]
    parts += [f"{each.id} struck out" for each in body.struck]
    parts += [f"added {_finding(each)}" for each in body.added]
    parts += [f"{each.target}: {decision_words(each.decision)}" for each in body.decided]
    parts += map(_answered, body.answered)
    return f"version {body.version} by {body.examiner} ({body.why}): {'; '.join(parts)}"


def _names(names: Iterable[str]) -> str:
    return ", ".join(names)


_WORDS: dict[str, tuple[str, Callable[[Any], str]]] = {
    "session_started": ("begun", lambda body: f"patient {body.patient}" if body.patient else ""),
    "finding_added": ("recorded", lambda body: _finding(body.finding)),
    "field_changed": ("corrected", _changed),
    "detail_added": ("completed", _detailed),
    "field_settled": ("confirmed", lambda body: f"{body.target} {title(body.field)}"),
    "finding_deleted": ("deleted", _target),
    "region_marked": ("marked", _marked),
    "mark_settled": ("confirmed", _settled),
    "mark_withdrawn": ("took back", _settled),
    "region_entered": ("went to", lambda body: body.region),
    "listening_paused": ("paused listening", _nothing),
    "listening_resumed": ("resumed listening", _nothing),
    "review_started": ("began the review", _nothing),
    "finding_confirmed": ("confirmed", _target),
    "patient_confirmed": ("confirmed", lambda body: "the patient"),
    "contradiction_accepted": ("confirmed", lambda body: f"{body.region}: normal, and findings"),
    "acknowledged": ("acknowledged", lambda body: f"not examined: {_names(body.regions)}"),
    "set_aside_acknowledged": ("acknowledged", lambda body: f"aside: {_names(body.utterances)}"),
    "question_rejected": ("said no to", lambda body: body.key),
    "question_skipped": ("skipped", lambda body: body.key),
    "utterance_promoted": ("made a finding of", lambda body: f"{body.utterance}: {body.finding}"),
    "lesion_followed": ("followed", _followed),
    "link_settled": ("confirmed", lambda body: f"link of {body.finding}"),
    "lesion_told_apart": ("told apart", lambda body: f"{body.finding} and lesion {body.lesion}"),
    "lesion_resolved": ("resolved", lambda body: f"lesion {body.lesion}"),
    "lesion_left": ("left", lambda body: f"lesion {body.lesion} {body.reason or ''}".rstrip()),
    "lesion_settled": ("confirmed", lambda body: f"lesion {body.lesion} resolved"),
    "lesion_reopened": ("took back", lambda body: f"what was said of lesion {body.lesion}"),
    "decision_made": ("decided", lambda body: f"{body.target}: {decision_words(body.decision)}"),
    "decision_settled": ("confirmed", lambda body: f"decision on {body.target}"),
    "decision_withdrawn": ("took back", lambda body: f"decision on {body.target}"),
    "answer_recorded": ("recorded", lambda body: _answered(body.given)),
    "risk_noted": ("noted", lambda body: risk_words(body.risk)),
    "risks_confirmed": ("confirmed", lambda body: f"risk history: {_names(body.factors)}"),
    "risk_dropped": ("took back", lambda body: body.factor),
    "undone": ("undid", lambda body: f"step {body.step}"),
    "redone": ("did again", lambda body: f"step {body.step}"),
    "signed": ("signed", lambda body: f"as {body.examiner}"),
    "amended": ("amended", _amended),
}
"""By an event's type: the verb, and what to say of its body."""
