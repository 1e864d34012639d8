"""What documents tell beyond today's findings, taken from the record itself and its patient."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date

from dictate.exam.deciders import decider, recorder
from dictate.exam.decisions import TITLES, AnswerGiven, Decision, day_words
from dictate.exam.finding import Finding, FindingFields
from dictate.exam.following import LesionToday
from dictate.exam.lesions import Lesion, Sighting
from dictate.exam.patients import Patient
from dictate.exam.readback import place_words, without_place
from dictate.exam.record import Record
from dictate.exam.worklist import completed
from dictate.export.extras import (
    DecisionLine,
    EarlierLine,
    Extras,
    PatientDetails,
    PromptLine,
    RecheckLine,
    RiskLine,
    SizePoint,
)


def extras_of(
    record: Record, patient: Patient | None = None, lesions: Iterable[Lesion] = ()
) -> Extras:
    """All that documents can tell of the record.

    `patient`: name and year of birth where the clinic keeps them. `lesions`: the patient's, over
    all visits, later ones included; with them it is known which re-checks have been done.
    """
    history = tuple(lesions)
    return Extras(
        patient=_details(record, patient),
        sizes=dict(_sizes(record)),
        prompts=tuple(_prompts(record)),
        decisions=tuple(_decisions(record, history)),
        rechecks=tuple(_rechecks(record, history)),
        risks=tuple(_risks(record)),
        earlier=tuple(_earlier(each) for each in record.lesions),
    )


def _details(record: Record, patient: Patient | None) -> PatientDetails:
    if patient is None:
        return PatientDetails(identifier=record.patient)
    return PatientDetails(patient.id, patient.name, patient.birth_year)


def _sizes(record: Record) -> Iterator[tuple[str, tuple[SizePoint, ...]]]:
    """Earlier visits' sizes of the same lesion, then today's."""
    for finding in record.findings:
        lesion = record.state.following.lesion_of(finding.id)
        points = [SizePoint(on, size) for on, size in (lesion.sizes() if lesion else ())]
        if finding.size_mm:
            points.append(SizePoint(record.examined_on, finding.size_mm))
        if points:
            yield finding.id, tuple(points)


def _prompts(record: Record) -> Iterator[PromptLine]:
    for finding in record.findings:
        for each in record.assessment(finding.id).prompts:
            because = f" ({each.because})" if each.because else ""
            urgent = each.urgency == "at once"
            yield PromptLine(f"{each.text}{because}", each.source, finding.id, urgent)


def _decisions(record: Record, lesions: tuple[Lesion, ...]) -> Iterator[DecisionLine]:
    """Those on findings, those on earlier lesions, then answers that came back."""
    findings = {each.id for each in record.findings}
    answered = dict(_answered(record, lesions))
    for target, made in record.state.following.decisions.items():
        about = "" if target in findings else f"{_lesion_name(record, target)}: "
        doubt = f" (TO CONFIRM: {made.doubt})" if made.doubt else ""
        by, on = decider(record, target)
        yield DecisionLine(
            decision=f"{about}{_words(made.decision)}{doubt}",
            reason=made.decision.reason,
            finding=target if target in findings else None,
            by=by,
            on=on,
            kind=made.decision.decision,
            due=made.decision.due,
            answered=answered.get(target),
        )
    for answer in record.state.following.answers:
        yield _answer(record, answer)


def _words(decision: Decision) -> str:
    words = TITLES[decision.decision]
    if decision.due is None:
        return words
    joint = "on" if decision.decision == "recheck" else "with an answer by"
    return f"{words} {joint} {day_words(decision.due)}"


def _answered(record: Record, lesions: tuple[Lesion, ...]) -> Iterator[tuple[str, date]]:
    """Findings and lesions decided on here of which an answer has come since, and when."""
    for lesion in lesions:
        for plan in lesion.plans:
            if plan.session == record.id and plan.answered_on is not None:
                yield plan.finding or lesion.id, plan.answered_on


def _answer(record: Record, given: AnswerGiven) -> DecisionLine:
    finding = record.finding_of(given.lesion)
    about = "" if finding else f"{_lesion_name(record, given.lesion)}: "
    words = f"{about}answer of {day_words(given.on)}: {given.answer}"
    return DecisionLine(words, finding=finding, by=recorder(record, given), on=given.on)


def _lesion_name(record: Record, target: str) -> str:
    lesion = record.state.following.lesion(target)
    name = record.called(target)
    return f"{name}, {place_words(lesion.fields)}" if lesion else name


def _rechecks(record: Record, lesions: tuple[Lesion, ...]) -> Iterator[RecheckLine]:
    for finding in record.findings:
        yield from _recheck(record, finding, lesions)
    findings = {each.id for each in record.findings}
    for target, made in record.state.following.decisions.items():
        decision = made.decision
        if target not in findings and decision.decision == "recheck" and decision.due:
            why = ": ".join(filter(None, [_lesion_name(record, target), decision.reason]))
            yield RecheckLine(decision.due, why, done=_done(record, target, decision.due, lesions))
    for given in record.state.following.answers:
        if given.recheck:
            here = record.finding_of(given.lesion)
            what = "" if here else f" on {_lesion_name(record, given.lesion)}"
            done = _done(record, given.lesion, given.recheck, lesions)
            yield RecheckLine(given.recheck, f"after the answer{what}", here, done)


def _recheck(
    record: Record, finding: Finding, lesions: tuple[Lesion, ...]
) -> Iterator[RecheckLine]:
    """The day that was decided on; while nothing is decided, the one that the rules propose."""
    decision = record.decision(finding.id)
    if decision is None:
        proposed = record.assessment(finding.id).recheck_on
        if proposed:
            yield RecheckLine(proposed, "proposed; not decided yet", finding.id)
    elif decision.decision == "recheck" and decision.due:
        done = _done(record, finding.id, decision.due, lesions)
        yield RecheckLine(decision.due, decision.reason, finding.id, done)


def _done(record: Record, target: str, due: date, lesions: tuple[Lesion, ...]) -> date | None:
    """When a finding here, or a lesion of an earlier visit, was looked at again as decided."""
    here = (record.id, target)
    mine = [
        lesion
        for lesion in lesions
        if target == lesion.id or here in {(x.session, x.finding) for x in lesion.sightings}
    ]
    met = (x for x in completed(mine) if (x.decision, x.due) == ("recheck", due))
    return next((each.done for each in met if each.done > record.examined_on), None)


def _risks(record: Record) -> Iterator[RiskLine]:
    for each in record.risks:
        said = f' ("{each.words}")' if each.words else ""
        doubt = f" TO CONFIRM: {each.doubt}" if each.doubt else ""
        yield RiskLine(each.factor, f"{each.answer}{said}{doubt}")


def _earlier(each: LesionToday) -> EarlierLine:
    lesion = each.lesion
    kind = lesion.fields.kind or "finding"
    now = f"{each.status}: {each.reason}" if each.reason else each.status
    if lesion.clash is not None:
        now += f" (TO CONFIRM: {lesion.clash[1]})"
    return EarlierLine(
        words=f"{lesion.label}, {place_words(lesion.fields)}, {kind}",
        first_seen=lesion.first_seen,
        now=now,
        finding=each.finding.id if each.finding else None,
        before=tuple(_before(lesion)),
    )


def _before(lesion: Lesion) -> Iterator[str]:
    """Today's words are only what was said today: what it looked like before stands here."""
    first, last = lesion.seen[0], lesion.latest
    yield f"described on {first.on} as {_described(first)}"
    if last.on != first.on and _described(last) != _described(first):
        yield f"on {last.on} as {_described(last)}"


def _described(sighting: Sighting) -> str:
    fields = sighting.fields or FindingFields()
    return without_place(fields).removesuffix(".")
