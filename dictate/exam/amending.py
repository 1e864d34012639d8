"""Amending a final record: a new version, with who, when, what and why."""

from __future__ import annotations

from dataclasses import replace

from dictate.errors import ExamError
from dictate.exam import events as ev
from dictate.exam.assessing import assessment, undecided
from dictate.exam.commands import (
    AddFinding,
    Amend,
    ChangeField,
    Decide,
    DeleteFinding,
    RecordAnswer,
)
from dictate.exam.deciding import answer_given, completed
from dictate.exam.decisions import AnswerGiven, decision_words
from dictate.exam.doubts import gaps
from dictate.exam.editing import changed, known_field, plain
from dictate.exam.finding import Finding
from dictate.exam.names import person
from dictate.exam.readback import title, value_words
from dictate.exam.situation import Result, Situation, target
from dictate.exam.state import apply


def amended(command: Amend, now: Situation) -> Result:
    """The new version as one event. Raises ExamError for a change that does not fit."""
    if not now.state.version:
        raise ExamError("Only a final record is amended; correct the draft itself.")
    why = " ".join(command.why.split())
    if not why:
        raise ExamError("Say why the record is amended; it is kept with the amendment.")
    if not command.changes:
        raise ExamError("The amendment changes nothing; choose a field or a finding first.")
    body = ev.Amended(
        version=now.state.version + 1,
        examiner=person(command.examiner),
        why=why,
        changed=tuple(_correction(c, now) for c in command.changes if isinstance(c, ChangeField)),
        struck=tuple(
            target(each.target, now) for each in command.changes if isinstance(each, DeleteFinding)
        ),
        added=_added([each for each in command.changes if isinstance(each, AddFinding)], now),
        answered=tuple(
            _answered(each, now) for each in command.changes if isinstance(each, RecordAnswer)
        ),
    )
    _refuse_muddle(body)
    _refuse_gaps(body, now)
    then = replace(now, state=apply(body, now.state))
    decisions = [each for each in command.changes if isinstance(each, Decide)]
    body = body.model_copy(update={"decided": tuple(_decided(each, then) for each in decisions)})
    _refuse_undecided(body, now)
    return Result((body,), _told(body))


def _refuse_muddle(body: ev.Amended) -> None:
    struck = {each.id for each in body.struck}
    for change in body.changed:
        if change.target in struck:
            raise ExamError(f"{change.target} is both changed and struck out; choose one.")


def _refuse_gaps(body: ev.Amended, now: Situation) -> None:
    """A final record has no open question: an amendment must not bring one in."""
    after = apply(body, now.state)
    for name in {each.target for each in body.changed}:
        old, new = now.state.finding(name), after.finding(name)
        if old is None or new is None:
            continue
        opened = set(gaps(new, after.protocol)) - set(gaps(old, after.protocol))
        for doubt in opened:
            raise ExamError(f"Amended so, {name} is incomplete: {doubt.why}; amend that too.")


def _refuse_undecided(body: ev.Amended, now: Situation) -> None:
    """Nor may a rule be met in a final record without a decision on it."""
    after = apply(body, now.state)
    if after.followup is None:
        return
    for finding in after.findings:
        found = assessment(after, finding)
        before = now.state.finding(finding.id)
        open_before = before and undecided(now.state, before, assessment(now.state, before))
        if found.asking and undecided(after, finding, found) and not open_before:
            rules = ", ".join(each.rule for each in found.asking)
            raise ExamError(
                f"Amended so, {finding.id} meets a rule ({rules}); decide on it as well."
            )


def _correction(change: ChangeField, now: Situation) -> ev.Correction:
    old = target(change.target, now)
    name = known_field(change.field)
    new = changed(old, {name: change.value})
    if name == "region" and new.region is not None:
        now.region(new.region)
    if plain(old, name) == plain(new, name):
        raise ExamError(f"The {title(name)} of {old.id} is that already; give the new value.")
    return ev.Correction(target=old.id, field=name, old=plain(old, name), new=plain(new, name))


def _added(commands: list[AddFinding], now: Situation) -> tuple[Finding, ...]:
    first = int(now.next_finding.removeprefix("f"))
    made = []
    for place, command in enumerate(commands):
        doubts = command.needs_review or gaps(command.fields, now.state.protocol)
        if doubts:
            raise ExamError(
                f"The {title(doubts[0].field)} of the added finding is in doubt "
                f"({doubts[0].why}); settle it first."
            )
        made.append(Finding(**command.fields.model_dump(), id=f"f{first + place}"))
    return tuple(made)


def _decided(command: Decide, now: Situation) -> ev.Decided:
    """A decision made or changed after signing, on a finding as it is amended."""
    finding = target(command.target, now)
    found = assessment(now.state, finding)
    return ev.Decided(target=finding.id, decision=completed(command, found, now.state))


def _answered(command: RecordAnswer, now: Situation) -> AnswerGiven:
    """An answer that came after signing, on a finding or an earlier lesion of the record."""
    following = now.state.following
    lesion = following.lesion(command.target)
    if lesion is None:
        finding = target(command.target, now)
        lesion = following.lesion_of(finding.id)
        own = f"{now.state.session}/{finding.id}"
        return answer_given(command, lesion.id if lesion else own, now.state.on)
    return answer_given(command, lesion.id, now.state.on)


def _told(body: ev.Amended) -> str:
    lines = [
        f"{each.target} {title(each.field)}: {value_words(each.field, each.old)}"
        f" -> {value_words(each.field, each.new)}"
        for each in body.changed
    ]
    lines += [f"{each.id} struck out" for each in body.struck]
    lines += [f"{each.id} added" for each in body.added]
    lines += [f"{each.target}: {decision_words(each.decision)}" for each in body.decided]
    lines += [f"answer of {each.on}: {each.answer}" for each in body.answered]
    return f"Version {body.version}: {'; '.join(lines)}"
