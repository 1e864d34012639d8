"""What each command does: the events it makes, or why it does not fit."""

from __future__ import annotations

from functools import singledispatch

from dictate.errors import ExamError
from dictate.exam import commands as cmd
from dictate.exam import deciding, lesion_rules, risk_rules
from dictate.exam import events as ev
from dictate.exam.amending import amended
from dictate.exam.answering import answer, question_text, ready_to_sign, skip
from dictate.exam.assessing import alarm
from dictate.exam.coverage import abnormal_at, coverage
from dictate.exam.doubts import after_change, gaps, merged
from dictate.exam.editing import (
    alternatives,
    changed,
    joined,
    known_field,
    plain,
    restated,
    said_fields,
)
from dictate.exam.finding import FIELD_NAMES, Doubt, Finding
from dictate.exam.guidance import following_region
from dictate.exam.names import person
from dictate.exam.readback import field_words, finding_words, mark_words, title
from dictate.exam.situation import Result, Situation, target


@singledispatch
def decide(command: cmd.Command, now: Situation) -> Result:
    """Events and a line for the screen. Raises ExamError when the command does not fit."""
    raise ExamError(f"{type(command).__name__} is not a command; use one that help lists.")


@decide.register
def _(command: cmd.AddFinding, now: Situation) -> Result:
    finding = Finding(
        **command.fields.model_dump(),
        id=now.next_finding,
        needs_review=merged(command.needs_review, gaps(command.fields, now.state.protocol)),
        alternatives=command.alternatives,
        confidence=command.confidence,
        said=command.said,
        utterances=(now.utterance,) if now.utterance else (),
    )
    return Result((ev.FindingAdded(finding=finding),), _told(finding, now))


def _told(finding: Finding, now: Situation) -> str:
    """The finding in words, and at once what of it should not wait."""
    return " ".join(filter(None, [finding_words(finding), alarm(now.state, finding)]))


@decide.register
def _(command: cmd.Promote, now: Situation) -> Result:
    heard = next((each for each in now.utterances if each.id == command.utterance), None)
    if heard is None:
        raise ExamError(f"No utterance is called {command.utterance}; choose one of the list.")
    if heard.id in now.state.promoted:
        made = now.state.promoted[heard.id]
        raise ExamError(f"{heard.id} was made finding {made} already; change that one.")
    finding = Finding(
        **command.fields.model_dump(),
        id=now.next_finding,
        needs_review=gaps(command.fields, now.state.protocol),
        confidence=heard.confidence,
        said=heard.text,
        utterances=(heard.id,),
    )
    bodies = (
        ev.FindingAdded(finding=finding),
        ev.UtterancePromoted(utterance=heard.id, finding=finding.id),
    )
    return Result(bodies, finding_words(finding))


@decide.register
def _(command: cmd.ChangeField, now: Situation) -> Result:
    old = target(command.target, now)
    name = known_field(command.field)
    new = changed(old, {name: command.value})
    heard = now.by_voice or now.utterance is not None
    doubt = Doubt(field=name, why=command.doubt) if heard and command.doubt else None
    kept = [each for each in old.needs_review if each.field != name]
    doubts = after_change(old, new, [*kept, doubt] if doubt else kept, now.state.protocol)
    if doubt is None and new.region is not None:
        doubts = tuple(each for each in doubts if each.field != name)
    body = ev.FieldChanged(
        target=old.id,
        field=name,
        old=plain(old, name),
        new=plain(new, name),
        needs_review=doubts,
        alternatives=alternatives(old, (name,), command.alternatives),
        said=command.said,
        utterance=now.utterance,
    )
    return Result((body,), f"{old.id}: {field_words(name, plain(new, name))}")


@decide.register
def _(command: cmd.AddDetail, now: Situation) -> Result:
    old = target(command.target, now)
    said = said_fields(command.fields)
    if not said:
        raise ExamError("Nothing was said that fits a field; say it in other words.")
    new = changed(old, joined(old, said))
    names = tuple(name for name in FIELD_NAMES if plain(old, name) != plain(new, name))
    kept = merged(merged(command.needs_review, old.needs_review), restated(old, new, said))
    body = ev.DetailAdded(
        target=old.id,
        changes=tuple(
            ev.FieldDelta(field=name, old=plain(old, name), new=plain(new, name)) for name in names
        ),
        needs_review=after_change(old, new, kept, now.state.protocol),
        alternatives=alternatives(old, names, command.alternatives),
        said=command.said,
        utterance=now.utterance,
    )
    return Result((body,), _told(new, now))


@decide.register
def _(command: cmd.SettleField, now: Situation) -> Result:
    finding = target(command.target, now)
    name = known_field(command.field)
    if name not in finding.doubted():
        raise ExamError(f"The {title(name)} of {finding.id} is not in doubt; nothing to settle.")
    if name == "region" and finding.region is None:
        raise ExamError("A finding cannot be without a region; say or type where it is.")
    body = ev.FieldSettled(target=finding.id, field=name)
    return Result((body,), f"{finding.id}: {field_words(name, plain(finding, name))}, confirmed")


@decide.register
def _(command: cmd.DeleteFinding, now: Situation) -> Result:
    finding = target(command.target, now)
    body = ev.FindingDeleted(target=finding.id)
    return Result((body,), f"Deleted: {finding_words(finding)}")


@decide.register
def _(command: cmd.MarkRegion, now: Situation) -> Result:
    station = now.region(command.region)
    doubt = command.doubt
    if command.state in ("normal", "not_examined") and doubt is None:
        doubt = contradiction(command, now)
    body = ev.RegionMarked(
        region=station.region,
        state=command.state,
        side=command.side,
        reason=command.reason,
        doubt=doubt,
    )
    return Result((body,), mark_words(station.region, command.state, command.side, command.reason))


@decide.register
def _(command: cmd.GoTo, now: Situation) -> Result:
    return _enter(now.region(command.region).region, now, doubted=command.doubted)


@decide.register
def _(command: cmd.NextRegion, now: Situation) -> Result:
    region = following_region(now.state)
    if region is None:
        raise ExamError("That was the last region; start the review, or go to a region by name.")
    return _enter(region, now)


@decide.register
def _(command: cmd.PreviousRegion, now: Situation) -> Result:
    region = now.state.protocol.before(now.state.region)
    if region is None:
        raise ExamError("There is no region before this one; go to a region by name.")
    return _enter(region, now)


@decide.register
def _(command: cmd.Undo, now: Situation) -> Result:
    if not now.done:
        raise ExamError("There is nothing to undo.")
    return Result((ev.Undone(step=now.done[-1]),), "Undone")


@decide.register
def _(command: cmd.Redo, now: Situation) -> Result:
    if not now.undone:
        raise ExamError("There is nothing to redo.")
    return Result((ev.Redone(step=now.undone[-1]),), "Redone")


@decide.register
def _(command: cmd.Pause, now: Situation) -> Result:
    if now.state.paused:
        return Result((), "Listening is paused already")
    return Result((ev.ListeningPaused(),), "Listening is paused; say resume to go on")


@decide.register
def _(command: cmd.Resume, now: Situation) -> Result:
    if not now.state.paused:
        return Result((), "Listening")
    return Result((ev.ListeningResumed(),), "Listening again")


@decide.register
def _(command: cmd.StartReview, now: Situation) -> Result:
    return Result((ev.ReviewStarted(),), "")


@decide.register
def _(command: cmd.Save, now: Situation) -> Result:
    if not now.state.reviewing:
        return Result((ev.ReviewStarted(),), "")
    ready_to_sign(now)
    return Result((), "Every question is answered; type the examiner's name to sign")


@decide.register
def _(command: cmd.Answer, now: Situation) -> Result:
    return answer(command, now)


@decide.register
def _(command: cmd.Skip, now: Situation) -> Result:
    return skip(now)


@decide.register
def _(command: cmd.Repeat, now: Situation) -> Result:
    return Result((), question_text(now))


@decide.register
def _(command: cmd.Help, now: Situation) -> Result:
    return Result((), "")


@decide.register
def _(command: cmd.OnScreen, now: Situation) -> Result:
    return Result((), "")


@decide.register
def _(command: cmd.Acknowledge, now: Situation) -> Result:
    regions = tuple(now.region(region).region for region in command.regions)
    if not regions:
        raise ExamError("No region was named; say or choose which were not examined.")
    body = ev.Acknowledged(regions=regions, reason=command.reason)
    return Result((body,), f"Not examined, acknowledged: {', '.join(regions)}")


@decide.register
def _(command: cmd.Sign, now: Situation) -> Result:
    examiner = person(command.examiner)
    if now.by_voice:
        raise ExamError("A record is never signed by voice; type the name or initials.")
    ready_to_sign(now)
    return Result((ev.Signed(examiner=examiner),), f"Final, signed by {examiner}")


@decide.register
def _(command: cmd.FollowLesion, now: Situation) -> Result:
    return lesion_rules.follow(command, now)


@decide.register
def _(command: cmd.LinkFinding, now: Situation) -> Result:
    return lesion_rules.link_finding(command, now)


@decide.register
def _(command: cmd.TellApart, now: Situation) -> Result:
    return lesion_rules.tell_apart(command, now)


@decide.register
def _(command: cmd.ResolveLesion, now: Situation) -> Result:
    return lesion_rules.resolve(command, now)


@decide.register
def _(command: cmd.LeaveLesion, now: Situation) -> Result:
    return lesion_rules.leave(command, now)


@decide.register
def _(command: cmd.Decide, now: Situation) -> Result:
    return deciding.decide_on(command, now)


@decide.register
def _(command: cmd.RecordAnswer, now: Situation) -> Result:
    return deciding.record_answer(command, now)


@decide.register
def _(command: cmd.NoteRisk, now: Situation) -> Result:
    return risk_rules.note_risk(command, now)


@decide.register
def _(command: cmd.DropRisk, now: Situation) -> Result:
    return risk_rules.drop_risk(command, now)


@decide.register
def _(command: cmd.Amend, now: Situation) -> Result:
    if now.by_voice:
        raise ExamError("A final record is never amended by voice; use the keyboard.")
    return amended(command, now)


def _enter(region: str, now: Situation, *, doubted: bool = False) -> Result:
    """Go there; that only one side of the region left was described is pointed out."""
    left = now.state.region if now.state.region != region else None
    told = next((each.one_sided for each in coverage(now.state) if each.region == left), "")
    return Result(
        (ev.RegionEntered(region=region, doubted=doubted),), f"{region}. {told}" if told else region
    )


def contradiction(command: cmd.MarkRegion, now: Situation) -> str | None:
    """Why "normal" or "not examined" clashes with findings recorded there, if it does."""
    there = abnormal_at(now.state, command.region, command.side)
    if not there:
        return None
    names = ", ".join(each.id for each in there)
    return f"{names} {'is' if len(there) == 1 else 'are'} recorded there"
