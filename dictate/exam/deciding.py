"""Decisions on findings: what a clinician chose, when, and why. No prompt decides anything."""

from __future__ import annotations

from datetime import date, timedelta

from dictate.errors import ExamError
from dictate.exam import commands as cmd
from dictate.exam import events as ev
from dictate.exam.assessing import assessment
from dictate.exam.decisions import AnswerGiven, Decision, decision_words
from dictate.exam.finding import Finding
from dictate.exam.followup import Assessment
from dictate.exam.lesion_rules import SPOKEN, known_lesion
from dictate.exam.situation import Result, Situation, target
from dictate.exam.state import State
from dictate.vocabulary.followup import FollowUp

LONGEST_REASON = 500
CHOOSE = 'Say or type "refer", "biopsy", "re-check" or "no action", with the reason.'


def decide_on(command: cmd.Decide, now: Situation) -> Result:
    """The decision, completed with the clinic's defaults; spoken, it is read back."""
    name, found = _about(command.target, now)
    decision = completed(command, found, now.state)
    doubt = SPOKEN if now.by_voice else None
    body = ev.DecisionMade(target=name, decision=decision, doubt=doubt)
    called = name if now.state.finding(name) else command.target
    return Result((body,), f"{called}: {decision_words(decision)}")


def accept(finding: Finding, now: Situation) -> ev.AnyBody:
    """ "Yes" to the question: the spoken decision stands, or the default re-check does.

    Raises ExamError where a prompt wants a decision of its own.
    """
    found = assessment(now.state, finding)
    made = now.state.following.decisions.get(finding.id)
    rules = {each.rule for each in found.asking}
    if made is not None and made.doubt and rules <= set(made.decision.prompts):
        return ev.DecisionSettled(target=finding.id)
    if rules:
        raise ExamError(f"A rule is met, so it is for you to decide. {CHOOSE}")
    decision = Decision(decision="recheck", due=found.recheck_on)
    return ev.DecisionMade(target=finding.id, decision=decision)


def completed(command: cmd.Decide, found: Assessment, state: State) -> Decision:
    """The decision with its date and reason. Raises ExamError for what does not fit."""
    reason = " ".join(command.reason.split())
    if len(reason) > LONGEST_REASON:
        raise ExamError(f"The reason is longer than {LONGEST_REASON} characters; shorten it.")
    rules = tuple(each.rule for each in found.asking)
    if not reason and command.decision in ("refer", "biopsy"):
        reason = "; ".join(dict.fromkeys(each.because for each in found.asking if each.because))
    elif not reason and (rules or command.decision == "no_action"):
        raise ExamError("Give the reason; it is kept with the decision.")
    return Decision(
        decision=command.decision, due=_due(command, found, state), reason=reason, prompts=rules
    )


def _due(command: cmd.Decide, found: Assessment, state: State) -> date | None:
    on, settings = state.on, (state.followup or FollowUp()).settings
    if command.decision == "no_action":
        if command.due is not None:
            raise ExamError("No action has no date; choose a re-check to set one.")
        return None
    if command.due is not None:
        if command.due <= on:
            raise ExamError(f"{command.due} is not after the visit of {on}; give a later day.")
        return command.due
    if command.decision == "recheck":
        return found.recheck_on or on + timedelta(days=settings.recheck_days)
    return on + timedelta(days=settings.answer_days)


def _about(name: str, now: Situation) -> tuple[str, Assessment]:
    """The finding or lesion meant: a lesion described today is decided on as today's finding."""
    following = now.state.following
    lesion = following.lesion(name)
    if lesion is None:
        finding = target(name, now)
        return finding.id, assessment(now.state, finding)
    described = following.finding_of(lesion.id)
    if described is None:
        return lesion.id, Assessment()
    return described, assessment(now.state, target(described, now))


def record_answer(command: cmd.RecordAnswer, now: Situation) -> Result:
    """What came back on an open lesion, told at this visit."""
    lesion = known_lesion(command.target, now)
    if not lesion.awaited:
        raise ExamError(f"No answer is awaited on {lesion.label}; decide on it instead.")
    given = answer_given(command, lesion.id, lesion.since(lesion.awaited[0]))
    if given.on > now.state.on:
        raise ExamError(f"{given.on} is after this visit; give the day that the answer came.")
    return Result((ev.AnswerRecorded(given=given),), f"{lesion.label}: answer recorded")


def answer_given(command: cmd.RecordAnswer, lesion: str, asked: date) -> AnswerGiven:
    """The answer, checked. Raises ExamError for an empty one and for days that cannot be.

    `asked`: since when it was awaited; one from before would answer nothing.
    """
    words = " ".join(command.answer.split())
    if not words:
        raise ExamError("Give the answer in words; it is kept with the lesion.")
    if command.on < asked:
        raise ExamError(
            f"{command.on} is before the answer was asked for ({asked}); give the day it came."
        )
    if command.recheck is not None and command.recheck <= command.on:
        raise ExamError(f"{command.recheck} is not after the answer of {command.on}.")
    return AnswerGiven(lesion=lesion, answer=words, on=command.on, recheck=command.recheck)
