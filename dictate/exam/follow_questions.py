"""The questions of the confirmation pass beyond today's findings themselves.

Earlier lesions that nobody spoke of, findings that may be one of them, the risk history, and the
decision on each abnormal finding.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from dictate.exam.assessing import assessment, undecided
from dictate.exam.decisions import day_words, decision_words
from dictate.exam.finding import Finding
from dictate.exam.following import today
from dictate.exam.followup import Assessment, size_term_notice
from dictate.exam.lesions import Lesion, lesion_words, may_be_same
from dictate.exam.question import Question
from dictate.exam.readback import finding_words
from dictate.exam.risks import risks_words
from dictate.exam.state import State

CHOICES = "Decide: refer, biopsy, re-check or no action, and why."


def patient_questions(state: State) -> Iterator[Question]:
    """Whose record is it? Asked where the identifier was never seen before."""
    if state.newcomer:
        text = f"{state.newcomer} Is the identifier right?"
        yield Question(key="patient", kind="patient", text=text)


def link_questions(state: State) -> Iterator[Question]:
    """Is this finding that earlier lesion? Never taken for it silently."""
    for finding in state.findings:
        link = state.following.links.get(finding.id)
        lesion = state.following.lesion_of(finding.id)
        if link is not None and lesion is not None:
            if link.doubt:
                yield _link(finding, lesion, f"Is this {lesion_words(lesion)}? ({link.doubt})")
        elif not finding.normal_variant:
            for each in _candidates(state, finding):
                yield _link(finding, each, f"Is this {lesion_words(each)}?")


def _link(finding: Finding, lesion: Lesion, asked: str) -> Question:
    return Question(
        key=f"link:{finding.id}:{lesion.id}",
        kind="link",
        text=f"{finding_words(finding)} {asked}",
        finding=finding.id,
        region=finding.region,
        lesion=lesion.id,
    )


def _candidates(state: State, finding: Finding) -> Iterator[Lesion]:
    following = state.following
    for lesion in following.lesions:
        told = (finding.id, lesion.id) in following.apart
        if not told and not following.finding_of(lesion.id) and may_be_same(finding, lesion):
            yield lesion


def lesion_questions(state: State) -> Iterator[Question]:
    """Lesions of earlier visits that nobody spoke of, and "resolved" that was only spoken."""
    for each in today(state.following, state.findings):
        lesion = each.lesion
        doubt = state.following.resolved.get(lesion.id)
        if each.status == "not mentioned":
            text = f"Nothing was said of {lesion_words(lesion)}. Was it not looked at today?"
            yield _lesion(lesion, "unmentioned", text)
        elif each.status == "resolved" and doubt:
            text = f"{lesion_words(lesion)}: no longer there. Is that right? ({doubt})"
            yield _lesion(lesion, "resolved", text)


def _lesion(lesion: Lesion, what: str, text: str) -> Question:
    return Question(
        key=f"lesion:{lesion.id}:{what}",
        kind="lesion",
        text=text,
        region=lesion.fields.region,
        lesion=lesion.id,
    )


def risk_questions(state: State) -> Iterator[Question]:
    """What was said of the risk history, read back in one question."""
    open_ = [each for each in state.following.risks.values() if each.doubt]
    if open_:
        whys = "; ".join(dict.fromkeys(each.doubt for each in open_ if each.doubt))
        yield Question(
            key="risks",
            kind="risk",
            text=f"Risk history: {risks_words(open_)}. Is this right? ({whys})",
            items=tuple(each.factor for each in open_),
        )


def decision_questions(state: State) -> Iterator[Question]:
    """What becomes of each abnormal finding. Asked only where the record carries rules."""
    if state.followup is None:
        return
    for finding in state.findings:
        found = assessment(state, finding)
        if undecided(state, finding, found):
            prompts = tuple(each.words for each in found.prompts)
            words, asked = finding_words(finding), _asked(state, finding, found)
            yield Question(
                key=f"decision:{finding.id}",
                kind="decision",
                text=" ".join((words, *prompts, asked)),
                finding=finding.id,
                region=finding.region,
                items=prompts,
                asked=f"{words} {asked}",
                choices=asked.endswith(CHOICES),
            )


def _asked(state: State, finding: Finding, found: Assessment) -> str:
    rules = {each.rule for each in found.asking}
    made = state.following.decisions.get(finding.id)
    if made is not None and made.doubt and rules <= set(made.decision.prompts):
        return f"Heard: {decision_words(made.decision)}. Is this right? ({made.doubt})"
    if rules:
        return f"{_awaited(state.following.lesion_of(finding.id))}{CHOICES}"
    return f"Look at it again on {day_words(found.recheck_on or date.max)}?"


def _awaited(lesion: Lesion | None) -> str:
    if lesion is None or not lesion.awaited:
        return ""
    plan = lesion.awaited[-1]
    return f"Still without an answer: {decision_words(plan.decision)} (of {day_words(plan.on)}). "


def follow_notices(state: State) -> Iterator[str]:
    """What deserves a look: terms that disagree with sizes."""
    if state.followup is None:
        return
    for finding in state.findings:
        notice = size_term_notice(finding, state.followup)
        if notice:
            yield f"{finding.id}: {notice}"
