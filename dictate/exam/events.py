"""What happened in an examination, one immutable event after the other.

The events are the record: findings, coverage and review are computed from them, and
nothing is ever taken out of the list, an undone step included.
"""

from __future__ import annotations

from datetime import UTC, date, datetime
from typing import Annotated, Literal

from pydantic import AwareDatetime, BaseModel, ConfigDict, Field, field_validator

from dictate.exam.commands import RegionState
from dictate.exam.decisions import AnswerGiven, Decision
from dictate.exam.finding import Alternative, Doubt, FieldValue, Finding
from dictate.exam.lesions import Lesion
from dictate.exam.protocol import Protocol
from dictate.exam.risks import Risk
from dictate.vocabulary.followup import FollowUp

UtteranceKind = Literal["finding", "command", "normal", "ignored"]
VOICE, KEYBOARD, SYSTEM = "voice", "keyboard", "system"
"""Actors that are no named user."""


class Body(BaseModel):
    """Base of every kind of event."""

    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False)


class SessionStarted(Body):
    type: Literal["session_started"] = "session_started"
    id: str
    protocol: Protocol
    engine: str | None = None
    patient: str | None = None
    """The clinic's own identifier of the patient."""
    newcomer: str | None = None
    """Why the identifier is to be confirmed: nobody of that identifier was seen before."""
    on: date | None = None
    """The day of the visit where the clinic is; None in old records: the day of the first event."""
    lesions: tuple[Lesion, ...] = ()
    """The patient's open lesions, as the visits signed before have left them."""
    followup: FollowUp | None = None
    """The follow-up rules in use; None: no decision is asked for."""
    format: int = 1
    """Of the events, so that a later program can read an old record."""


NOTHING_SAID = "nothing was said"
"""Why an utterance that holds no word ("um", a cough) is kept aside: there is nothing to lose."""


class UtteranceHeard(Body):
    """One stretch of speech (or typed line), whatever became of it. Never undone."""

    type: Literal["utterance_heard"] = "utterance_heard"
    id: str
    text: str
    start_s: float = 0.0
    end_s: float = 0.0
    kind: UtteranceKind = "ignored"
    confidence: float = 1.0
    why: str = ""
    """Why it made no finding, or which of its commands did not fit."""
    not_understood: tuple[str, ...] = ()
    failed: tuple[str, ...] = ()
    """Why commands that would have changed the record did not fit."""


class FindingAdded(Body):
    type: Literal["finding_added"] = "finding_added"
    finding: Finding


class FieldDelta(Body):
    """One field, before and after."""

    field: str
    old: FieldValue
    new: FieldValue


class FieldChanged(Body):
    """A field was corrected; `needs_review` and `alternatives` are the finding's from now on."""

    type: Literal["field_changed"] = "field_changed"
    target: str
    field: str
    old: FieldValue
    new: FieldValue
    needs_review: tuple[Doubt, ...] = ()
    alternatives: tuple[Alternative, ...] = ()
    said: str = ""
    utterance: str | None = None


class DetailAdded(Body):
    """More was said of a finding; `needs_review` and `alternatives` as in `FieldChanged`."""

    type: Literal["detail_added"] = "detail_added"
    target: str
    changes: tuple[FieldDelta, ...]
    needs_review: tuple[Doubt, ...] = ()
    alternatives: tuple[Alternative, ...] = ()
    said: str = ""
    utterance: str | None = None


class FieldSettled(Body):
    """A doubted field was confirmed as it stands."""

    type: Literal["field_settled"] = "field_settled"
    target: str
    field: str


class FindingDeleted(Body):
    type: Literal["finding_deleted"] = "finding_deleted"
    target: str


class RegionMarked(Body):
    type: Literal["region_marked"] = "region_marked"
    region: str
    state: RegionState
    side: str | None = None
    reason: str | None = None
    doubt: str | None = None


class MarkSettled(Body):
    """A doubted statement about a region was confirmed."""

    type: Literal["mark_settled"] = "mark_settled"
    region: str
    state: RegionState
    side: str | None = None


class MarkWithdrawn(Body):
    """A statement about a region was taken back."""

    type: Literal["mark_withdrawn"] = "mark_withdrawn"
    region: str
    state: RegionState
    side: str | None = None


class RegionEntered(Body):
    type: Literal["region_entered"] = "region_entered"
    region: str
    doubted: bool = False
    """True if the region was not heard well."""


class ListeningPaused(Body):
    type: Literal["listening_paused"] = "listening_paused"


class ListeningResumed(Body):
    type: Literal["listening_resumed"] = "listening_resumed"


class ReviewStarted(Body):
    type: Literal["review_started"] = "review_started"


class FindingConfirmed(Body):
    """A finding was read back as a whole and found right."""

    type: Literal["finding_confirmed"] = "finding_confirmed"
    target: str


class ContradictionAccepted(Body):
    """A region called normal has findings, and both statements are meant."""

    type: Literal["contradiction_accepted"] = "contradiction_accepted"
    region: str
    findings: tuple[str, ...]


class Acknowledged(Body):
    """Regions that were not examined, acknowledged as such."""

    type: Literal["acknowledged"] = "acknowledged"
    regions: tuple[str, ...]
    reason: str | None = None


class SetAsideAcknowledged(Body):
    """The utterances that made no finding were seen, `utterances` being their ids."""

    type: Literal["set_aside_acknowledged"] = "set_aside_acknowledged"
    utterances: tuple[str, ...]


class QuestionRejected(Body):
    """ "No" to a question of the review: it stays open, or what it asks about is withdrawn."""

    type: Literal["question_rejected"] = "question_rejected"
    key: str


class QuestionSkipped(Body):
    type: Literal["question_skipped"] = "question_skipped"
    key: str


class UtterancePromoted(Body):
    """A finding was made of an utterance that had been set aside."""

    type: Literal["utterance_promoted"] = "utterance_promoted"
    utterance: str
    finding: str


class LesionFollowed(Body):
    """A finding of today is what an earlier lesion is like now."""

    type: Literal["lesion_followed"] = "lesion_followed"
    lesion: str
    finding: str
    what: Literal["same", "changed", "linked"]
    doubt: str | None = None


class LinkSettled(Body):
    """A doubted link of a finding with a lesion was confirmed."""

    type: Literal["link_settled"] = "link_settled"
    finding: str


class LesionToldApart(Body):
    """The finding is not that lesion; a link between them is cut."""

    type: Literal["lesion_told_apart"] = "lesion_told_apart"
    lesion: str
    finding: str


class LesionResolved(Body):
    type: Literal["lesion_resolved"] = "lesion_resolved"
    lesion: str
    doubt: str | None = None


class LesionLeft(Body):
    """The lesion was not looked at today."""

    type: Literal["lesion_left"] = "lesion_left"
    lesion: str
    reason: str | None = None


class LesionSettled(Body):
    """A doubted "resolved" was confirmed."""

    type: Literal["lesion_settled"] = "lesion_settled"
    lesion: str


class LesionReopened(Body):
    """What was said of the lesion today was taken back."""

    type: Literal["lesion_reopened"] = "lesion_reopened"
    lesion: str


class DecisionMade(Body):
    type: Literal["decision_made"] = "decision_made"
    target: str
    """A finding's id, or a lesion's."""
    decision: Decision
    doubt: str | None = None


class DecisionSettled(Body):
    """A decision that was spoken was confirmed."""

    type: Literal["decision_settled"] = "decision_settled"
    target: str


class DecisionWithdrawn(Body):
    type: Literal["decision_withdrawn"] = "decision_withdrawn"
    target: str


class AnswerRecorded(Body):
    type: Literal["answer_recorded"] = "answer_recorded"
    given: AnswerGiven


class RiskNoted(Body):
    type: Literal["risk_noted"] = "risk_noted"
    risk: Risk


class RisksConfirmed(Body):
    """The risk history was read back and found right."""

    type: Literal["risks_confirmed"] = "risks_confirmed"
    factors: tuple[str, ...]


class PatientConfirmed(Body):
    """The identifier of a patient who was never seen before is right."""

    type: Literal["patient_confirmed"] = "patient_confirmed"
    patient: str


class RiskDropped(Body):
    type: Literal["risk_dropped"] = "risk_dropped"
    factor: str


class Undone(Body):
    """The step is out of the record's state (not out of its events)."""

    type: Literal["undone"] = "undone"
    step: int


class Redone(Body):
    type: Literal["redone"] = "redone"
    step: int


class Signed(Body):
    type: Literal["signed"] = "signed"
    examiner: str


class Correction(FieldDelta):
    """One field of one finding, before and after an amendment."""

    target: str


class Decided(BaseModel):
    """A decision made or changed after signing."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    target: str
    decision: Decision


class Amended(Body):
    """A new version of a final record."""

    type: Literal["amended"] = "amended"
    version: int
    examiner: str
    why: str
    changed: tuple[Correction, ...] = ()
    struck: tuple[Finding, ...] = ()
    """Findings entered in error, as they were."""
    added: tuple[Finding, ...] = ()
    decided: tuple[Decided, ...] = ()
    answered: tuple[AnswerGiven, ...] = ()


AnyBody = Annotated[
    SessionStarted
    | UtteranceHeard
    | FindingAdded
    | FieldChanged
    | DetailAdded
    | FieldSettled
    | FindingDeleted
    | RegionMarked
    | MarkSettled
    | MarkWithdrawn
    | RegionEntered
    | ListeningPaused
    | ListeningResumed
    | ReviewStarted
    | FindingConfirmed
    | ContradictionAccepted
    | Acknowledged
    | SetAsideAcknowledged
    | QuestionRejected
    | QuestionSkipped
    | UtterancePromoted
    | LesionFollowed
    | LinkSettled
    | LesionToldApart
    | LesionResolved
    | PatientConfirmed
    | LesionLeft
    | LesionSettled
    | LesionReopened
    | DecisionMade
    | DecisionSettled
    | DecisionWithdrawn
    | AnswerRecorded
    | RiskNoted
    | RisksConfirmed
    | RiskDropped
    | Undone
    | Redone
    | Signed
    | Amended,
    Field(discriminator="type"),
]

PERMANENT = (
    SessionStarted,
    UtteranceHeard,
    ListeningPaused,
    ListeningResumed,
    QuestionRejected,
    Undone,
    Redone,
    Signed,
    Amended,
)
"""Events that undo leaves alone: what was said stays said."""


class Event(BaseModel):
    """One thing that happened. `seq` counts from 1 without gaps within a session."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    seq: int = Field(ge=1)
    at: AwareDatetime
    """In UTC."""
    actor: str
    """"voice", "keyboard", "system", or the name of a user."""
    via: str | None = None
    """ "voice" or "keyboard" where `actor` is the name of a user."""
    step: int = Field(ge=0)
    """Events of one step are undone together: those of one utterance or one key."""
    more: bool = False
    """True if the next event belongs to the same act: one must not be kept without the other."""
    body: AnyBody

    @field_validator("at")
    @classmethod
    def _in_utc(cls, value: datetime) -> datetime:
        return value.astimezone(UTC)
