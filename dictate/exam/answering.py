"""Answers in the confirmation pass, and the bar before signing."""

from __future__ import annotations

from dictate.errors import ExamError
from dictate.exam import events as ev
from dictate.exam.commands import Answer
from dictate.exam.deciding import CHOOSE, accept
from dictate.exam.review import Question, review
from dictate.exam.situation import Result, Situation, target

CORRECT = {
    "field": "Say or type the right value.",
    "finding": "Say or type what to correct, or delete the finding.",
    "contradiction": "Correct or delete the findings that are wrong.",
    "region": "Go to the region and examine it, or give the reason why not.",
    "aside": "Choose an utterance of the list and make a finding of it.",
    "link": "Recorded as a lesion of its own.",
    "lesion": "Say or type what it is like: same as last time, its new size, or resolved.",
    "risk": "Say or type what is right.",
    "patient": "Give the draft to the right patient: `dictate exam --resume --patient ID`.",
    "decision": CHOOSE,
}


def current(now: Situation) -> Question:
    """The question being asked. Raises ExamError when none is."""
    if not now.state.reviewing:
        raise ExamError("Nothing is being asked; start the review first.")
    question = review(now.state, now.utterances).current
    if question is None:
        raise ExamError("Every question is answered; type the examiner's name to sign.")
    return question


def question_text(now: Situation) -> str:
    """The question in words, for `Repeat`."""
    return current(now).text


def answer(command: Answer, now: Situation) -> Result:
    """What "yes" or "no" does to the question being asked."""
    question = current(now)
    if command.yes:
        return Result((_yes(question, now),), "Confirmed")
    rejected = ev.QuestionRejected(key=question.key)
    if question.mark:
        region, what, side = question.mark
        withdrawn = ev.MarkWithdrawn(region=region, state=what, side=side)
        return Result((rejected, withdrawn), f"Taken back: {region} {what.replace('_', ' ')}")
    return Result((rejected, *_no(question, now)), CORRECT[question.kind])


def _no(question: Question, now: Situation) -> tuple[ev.AnyBody, ...]:
    """What "no" takes back besides."""
    following = now.state.following
    if question.kind == "link" and question.finding and question.lesion:
        return (ev.LesionToldApart(lesion=question.lesion, finding=question.finding),)
    if question.kind == "lesion" and question.lesion in following.resolved:
        return (ev.LesionReopened(lesion=str(question.lesion)),)
    if question.kind == "decision" and question.finding:
        made = following.decisions.get(question.finding)
        if made is not None and made.doubt:
            return (ev.DecisionWithdrawn(target=question.finding),)
    return ()


def skip(now: Situation) -> Result:
    """Puts the question behind the others."""
    return Result((ev.QuestionSkipped(key=current(now).key),), "Left for later")


def ready_to_sign(now: Situation) -> None:
    """Raises ExamError unless every question of the confirmation pass is decided."""
    left = len(review(now.state, now.utterances).open)
    if left:
        questions = "question is" if left == 1 else "questions are"
        raise ExamError(f"{left} {questions} still open; answer them in the review first.")
    if not now.state.reviewing:
        raise ExamError("Start the review before signing.")


def _yes(question: Question, now: Situation) -> ev.AnyBody:
    if question.kind == "field" and question.finding and question.field:
        finding = now.state.finding(question.finding)
        if question.field == "region" and finding is not None and finding.region is None:
            raise ExamError("A finding cannot be without a region; say or type where it is.")
        return ev.FieldSettled(target=question.finding, field=question.field)
    if question.kind == "finding" and question.finding:
        return ev.FindingConfirmed(target=question.finding)
    if question.kind in ("patient", "link", "lesion", "risk", "decision"):
        return _yes_follow(question, now)
    if question.mark:
        region, what, side = question.mark
        return ev.MarkSettled(region=region, state=what, side=side)
    if question.kind == "contradiction" and question.region:
        return ev.ContradictionAccepted(region=question.region, findings=question.items)
    if question.kind == "region" and question.region:
        return ev.Acknowledged(regions=(question.region,))
    return ev.SetAsideAcknowledged(utterances=question.items)


def _yes_follow(question: Question, now: Situation) -> ev.AnyBody:
    """ "Yes" to a question about an earlier lesion, the risk history or a decision."""
    following, finding, lesion = now.state.following, question.finding, question.lesion
    if question.kind == "decision":
        return accept(target(finding or "", now), now)
    if question.kind == "patient":
        return ev.PatientConfirmed(patient=now.state.patient or "")
    if question.kind == "risk":
        return ev.RisksConfirmed(factors=question.items)
    if question.kind == "lesion":
        if lesion in following.resolved:
            return ev.LesionSettled(lesion=str(lesion))
        return ev.LesionLeft(lesion=str(lesion))
    if finding in following.links:
        return ev.LinkSettled(finding=str(finding))
    return ev.LesionFollowed(lesion=str(lesion), finding=str(finding), what="linked")
