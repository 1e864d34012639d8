"""What one signed session says for later: a visit. Small, and computed from its events alone."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime, timedelta

from pydantic import AwareDatetime, BaseModel, ConfigDict

from dictate.errors import ExamError
from dictate.exam import events as ev
from dictate.exam.deciders import answers_own, decider, recorder
from dictate.exam.decisions import AnswerGiven, Decision
from dictate.exam.finding import FindingFields
from dictate.exam.followup import needs_follow_up
from dictate.exam.lesions import What
from dictate.exam.record import Record
from dictate.exam.risks import Risk
from dictate.vocabulary.followup import FollowUp

FORM = 3
"""Raised with every change of what a visit says: kept ones of another form are computed anew."""


class _Value(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class Decided(_Value):
    """A decision, and who made it when: not always at the visit."""

    decision: Decision
    by: str
    on: date


class Answered(_Value):
    """An answer that came back, and who recorded it."""

    given: AnswerGiven
    by: str
    own: bool
    """True if it answers what this visit decided; else it is of an earlier one."""


class Seen(_Value):
    """One abnormal finding of a visit."""

    finding: str
    fields: FindingFields
    recorded: AwareDatetime
    """When it became final: at the signature, or at the amendment that added it."""
    what: What = "new"
    lesion: str | None = None
    """The earlier lesion that it is."""
    decided: Decided | None = None
    struck: bool = False
    """Taken back by an amendment. It keeps its lesion's number from being given anew."""


class Visit(_Value):
    """One signed session, at its latest version."""

    session: str
    version: int
    patient: str | None
    on: date
    signed: AwareDatetime
    examiner: str
    seen: tuple[Seen, ...] = ()
    resolved: tuple[str, ...] = ()
    """Ids of earlier lesions that were found to be gone."""
    left: tuple[str, ...] = ()
    """Ids of earlier lesions that were not looked at."""
    decisions: tuple[tuple[str, Decided], ...] = ()
    """On earlier lesions that were not described at this visit."""
    answers: tuple[Answered, ...] = ()
    risks: tuple[Risk, ...] = ()
    regions_examined: int = 0
    regions: int = 0


def visit_of(record: Record) -> Visit:
    """The visit of a signed record. Raises ExamError for a draft."""
    if not record.is_final:
        raise ExamError(f"Session {record.id} is not signed; it counts as a visit once it is.")
    following = record.state.following
    seen = tuple(_seen(record))
    kept = {each.id for each in record.findings}
    return Visit(
        session=record.id,
        version=record.version,
        patient=record.patient,
        on=record.examined_on,
        signed=_closings(record)[1],
        examiner=record.examiner or "",
        seen=seen,
        resolved=tuple(following.resolved),
        left=tuple(following.left),
        decisions=tuple(
            (name, _decided(record, name, made.decision))
            for name, made in following.decisions.items()
            if name not in kept and following.lesion(name) is not None
        ),
        answers=tuple(_answered(record, each) for each in following.answers),
        risks=record.risks,
        regions_examined=sum(each.examined for each in record.coverage),
        regions=len(record.coverage),
    )


def _seen(record: Record) -> Iterator[Seen]:
    """Every finding that was ever abnormal in a final version, those struck out included.

    What was said of an earlier lesion is told of it, also where it is called a normal variant now.
    """
    first: dict[str, datetime] = {}
    fields: dict[str, FindingFields] = {}
    links = record.state.following.links
    for version, at in _closings(record).items():
        for finding in record.at_version(version).findings:
            if needs_follow_up(finding) or finding.id in links:
                first.setdefault(finding.id, at)
                fields[finding.id] = finding.fields
    for name, at in first.items():
        now, link = record.finding(name), links.get(name)
        abnormal = now is not None and needs_follow_up(now)
        yield Seen(
            finding=name,
            fields=fields[name],
            recorded=at,
            what=link.what if link else "new",
            lesion=link.lesion if link else None,
            decided=_decided(record, name, _decision(record, name)) if abnormal else None,
            struck=not abnormal and (now is None or link is None),
        )


def _answered(record: Record, given: AnswerGiven) -> Answered:
    target = record.finding_of(given.lesion) or given.lesion
    own = answers_own(record, given, target)
    return Answered(given=given, by=recorder(record, given), own=own)


def _decided(record: Record, target: str, decision: Decision) -> Decided:
    by, on = decider(record, target)
    return Decided(decision=decision, by=by, on=on)


def _decision(record: Record, finding: str) -> Decision:
    """What was decided; in a record without follow-up rules, the default re-check."""
    made = record.decision(finding)
    if made is not None:
        return made
    settings = (record.state.followup or FollowUp()).settings
    due = record.examined_on + timedelta(days=settings.recheck_days)
    return Decision(decision="recheck", due=due, reason="no decision was recorded")


def _closings(record: Record) -> dict[int, datetime]:
    """Version to when it became final."""
    return {
        each.body.version if isinstance(each.body, ev.Amended) else 1: each.at
        for each in record.events
        if isinstance(each.body, ev.Signed | ev.Amended)
    }
