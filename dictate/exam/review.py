"""The confirmation pass: the questions that must be answered before a record is final."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from dictate.exam import events as ev
from dictate.exam.coverage import coverage
from dictate.exam.editing import plain
from dictate.exam.finding import Finding
from dictate.exam.follow_questions import (
    decision_questions,
    follow_notices,
    lesion_questions,
    link_questions,
    patient_questions,
    risk_questions,
)
from dictate.exam.question import Kind as Kind
from dictate.exam.question import Question as Question
from dictate.exam.readback import and_words, field_words, finding_words, mark_words
from dictate.exam.state import State


@dataclass(frozen=True, slots=True)
class Review:
    """The confirmation pass as it stands."""

    open: tuple[Question, ...]
    """Questions still to be decided, in order."""
    skipped: tuple[str, ...] = ()
    notices: tuple[str, ...] = ()
    """What deserves a look and asks for no decision: sides that were not mentioned, terms that
    disagree with sizes."""

    @property
    def current(self) -> Question | None:
        """The question now asked: the first not skipped, then the skipped ones again."""
        waiting = [each for each in self.open if each.key not in self.skipped]
        if waiting:
            return waiting[0]
        order = {key: place for place, key in enumerate(self.skipped)}
        return min(self.open, key=lambda each: order[each.key], default=None)

    @property
    def complete(self) -> bool:
        """True if only the examiner's name is missing."""
        return not self.open


def review(state: State, utterances: tuple[ev.UtteranceHeard, ...]) -> Review:
    """The open questions: whose record it is, findings, regions, what was set aside, decisions."""
    questions = (
        *patient_questions(state),
        *_findings(state, utterances),
        *link_questions(state),
        *lesion_questions(state),
        *_marks(state),
        *_contradictions(state),
        *_regions(state),
        *risk_questions(state),
        *_aside(state, utterances),
        *decision_questions(state),
    )
    return Review(questions, state.skipped, (*_one_sided(state), *follow_notices(state)))


def _one_sided(state: State) -> Iterator[str]:
    return (each.one_sided for each in coverage(state) if each.one_sided)


def set_aside(
    state: State, utterances: tuple[ev.UtteranceHeard, ...]
) -> tuple[ev.UtteranceHeard, ...]:
    """Utterances that left nothing in the record, and those of which a part was lost."""
    used = {each for finding in state.findings for each in finding.utterances}
    return tuple(
        each
        for each in utterances
        if each.id not in state.promoted
        and each.why != ev.NOTHING_SAID
        and (each.kind == "ignored" or each.failed or (each.not_understood and each.id not in used))
    )


def _findings(state: State, utterances: tuple[ev.UtteranceHeard, ...]) -> Iterator[Question]:
    unplaced = {each.id: each.not_understood for each in utterances if each.not_understood}
    for finding in state.findings:
        for doubt in finding.needs_review:
            words = field_words(doubt.field, plain(finding, doubt.field))
            yield Question(
                key=f"field:{finding.id}:{doubt.field}",
                kind="field",
                text=f"{finding_words(finding)} Is this right: {words}? ({doubt.why})",
                finding=finding.id,
                field=doubt.field,
                region=finding.region,
            )
        if finding.id not in state.confirmed:
            yield Question(
                key=f"finding:{finding.id}",
                kind="finding",
                text=f"{finding_words(finding)}{_unplaced(finding, unplaced)} Is this right?",
                finding=finding.id,
                region=finding.region,
            )


def _unplaced(finding: Finding, unplaced: Mapping[str, tuple[str, ...]]) -> str:
    words = [word for each in finding.utterances for word in unplaced.get(each, ())]
    return f' Heard, but fitting no field: "{", ".join(words)}".' if words else ""


def _marks(state: State) -> Iterator[Question]:
    for key, mark in state.marks.items():
        if mark.doubt:
            region, what, side = key
            yield Question(
                key=f"mark:{region}:{what}:{side}",
                kind="mark",
                text=f"{mark_words(region, what, side, mark.reason)} Is this right? ({mark.doubt})",
                region=region,
                mark=key,
            )


def _contradictions(state: State) -> Iterator[Question]:
    for each in coverage(state):
        found = each.contradicting
        if found and not set(found) <= set(state.contradictions.get(each.region, ())):
            are = "is" if len(found) == 1 else "are"
            told = " ".join(finding_words(x) for x in state.findings if x.id in found)
            yield Question(
                key=f"contradiction:{each.region}",
                kind="contradiction",
                text=f"{each.region.capitalize()}: called normal, and {and_words(found)} {are} "
                f"recorded there. {told} Are the findings right?",
                region=each.region,
                items=found,
            )


def _regions(state: State) -> Iterator[Question]:
    for each in coverage(state):
        if not each.examined and not each.acknowledged:
            yield Question(
                key=f"region:{each.region}",
                kind="region",
                text=f"Nothing was said of the {each.region}. Leave it as not examined?",
                region=each.region,
            )


def _aside(state: State, utterances: tuple[ev.UtteranceHeard, ...]) -> Iterator[Question]:
    new = [each.id for each in set_aside(state, utterances) if each.id not in state.seen_aside]
    if new:
        count = "1 utterance was" if len(new) == 1 else f"{len(new)} utterances were"
        yield Question(
            key="aside",
            kind="aside",
            text=f"{count} put aside, whole or in part. Leave that out of the findings?",
            items=tuple(new),
        )
