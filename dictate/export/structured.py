"""The session as JSON for other programs, and the JSON Schema that it keeps to."""

from __future__ import annotations

from typing import Any, Literal

from pydantic import AwareDatetime, BaseModel, ConfigDict, Field, TypeAdapter

from dictate.exam.contract import session_document
from dictate.exam.decisions import AnswerGiven
from dictate.exam.events import Amended, Decided, UtteranceKind
from dictate.exam.finding import Side
from dictate.exam.record import Record
from dictate.exam.session import Session
from dictate.export.extras import (
    NOTHING,
    DecisionLine,
    EarlierLine,
    Extras,
    PatientDetails,
    PromptLine,
    RecheckLine,
    RiskLine,
    SizePoint,
)
from dictate.export.json_text import json_text

DIALECT = "https://json-schema.org/draft/2020-12/schema"
VERSION = 1
"""Of the document's shape; raised when a reader of the old one would be misled."""


class _Part(BaseModel):
    model_config = ConfigDict(extra="forbid")


class UtteranceDocument(_Part):
    """One stretch of speech or typed line; times in seconds from the start."""

    text: str
    start_s: float
    end_s: float
    kind: UtteranceKind
    confidence: float
    id: str
    why: str
    not_understood: list[str]


class DoubtDocument(_Part):
    """A field that a person must still settle."""

    field: str
    why: str


class AlternativeDocument(_Part):
    """Another value that the speech could have meant; score 0 to 100."""

    field: str
    value: str | bool | int | float | list[str] | list[float] | None
    score: float


class FindingDocument(_Part):
    """null or []: not said; false: said to be absent. Sizes in mm, durations in days."""

    region: str | None
    subsite: str | None
    side: Side | None
    kind: str | None
    count: int | None
    size_mm: list[float] = Field(max_length=3)
    colours: list[str]
    surface: list[str]
    borders: list[str]
    consistency: list[str]
    mobility: str | None
    tender: bool | None
    attachment: str | None
    wipes_off: bool | None
    symptoms: list[str]
    duration_days: int | None
    normal_variant: str | None
    node_level: str | None
    needs_review: list[DoubtDocument]
    distribution: str | None
    denied_symptoms: list[str]
    change: str | None
    note: str | None
    alternatives: list[AlternativeDocument]
    confidence: float
    id: str
    said: str
    utterances: list[str]


class CoverageDocument(_Part):
    """Region names in the order of the protocol; normal ones are among the examined ones."""

    examined: list[str]
    normal: list[str]
    not_examined: list[str]


class CorrectionDocument(_Part):
    """One field of one finding, before and after."""

    target: str
    field: str
    old: str | bool | int | float | list[str] | list[float] | None
    new: str | bool | int | float | list[str] | list[float] | None


class AmendmentDocument(_Part):
    """What one version changed: corrections, ids of struck and of added findings."""

    version: int
    at: AwareDatetime
    examiner: str
    why: str
    changed: list[CorrectionDocument]
    struck: list[str]
    added: list[str]
    decided: list[Decided]
    answered: list[AnswerGiven]


class SessionDocument(_Part):
    """One examination of face, neck and mouth."""

    session: str
    patient: str | None
    begun: AwareDatetime
    state: Literal["draft", "final"]
    version: int = Field(ge=0)
    examiner: str | None
    utterances: list[UtteranceDocument]
    findings: list[FindingDocument]
    coverage: CoverageDocument
    shape: Literal[1]
    amendments: list[AmendmentDocument]
    patient_details: PatientDetails | None
    sizes: dict[str, list[SizePoint]]
    prompts: list[PromptLine]
    decisions: list[DecisionLine]
    rechecks: list[RecheckLine]
    risks: list[RiskLine]
    earlier: list[EarlierLine]


def as_json(session: Session, extras: Extras = NOTHING) -> str:
    """The session's document, ending in a newline: what it is, then what was recorded."""
    head = {
        "session": session.id,
        "patient": session.patient,
        "begun": session.created.isoformat(),
        "state": "final" if session.is_final else "draft",
        "version": session.version,
        "examiner": session.examiner,
    }
    document = head | session_document(session) | _more(session, extras)
    return json_text(document)


def schema_json() -> str:
    """The JSON Schema of that document, ending in a newline."""
    schema = SessionDocument.model_json_schema(mode="serialization")
    return json_text({"$schema": DIALECT, **schema})


def _more(session: Record, extras: Extras) -> dict[str, Any]:
    told = TypeAdapter(Extras).dump_python(extras, mode="json")
    return {
        "shape": VERSION,
        "amendments": [
            _amendment(each.at.isoformat(), each.body)
            for each in session.events
            if isinstance(each.body, Amended)
        ],
        "patient_details": told.pop("patient"),
        **told,
    }


def _amendment(at: str, body: Amended) -> dict[str, Any]:
    return {
        "version": body.version,
        "at": at,
        "examiner": body.examiner,
        "why": body.why,
        "changed": [each.model_dump(mode="json") for each in body.changed],
        "struck": [each.id for each in body.struck],
        "added": [each.id for each in body.added],
        "decided": [each.model_dump(mode="json") for each in body.decided],
        "answered": [each.model_dump(mode="json") for each in body.answered],
    }
