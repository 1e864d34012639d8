"""An examination as the JSON document that other programs read.

The keys and their order are a promise: they stay as they are; new ones come after them.
"""

from __future__ import annotations

from typing import Any

from dictate.exam.coverage import RegionCoverage
from dictate.exam.editing import plain
from dictate.exam.events import UtteranceHeard
from dictate.exam.finding import Finding
from dictate.exam.session import Session

FIRST = (
    "region",
    "subsite",
    "side",
    "kind",
    "count",
    "size_mm",
    "colours",
    "surface",
    "borders",
    "consistency",
    "mobility",
    "tender",
    "attachment",
    "wipes_off",
    "symptoms",
    "duration_days",
    "normal_variant",
    "node_level",
)
MORE = ("distribution", "denied_symptoms", "change", "note")


def session_document(session: Session) -> dict[str, Any]:
    """Utterances, findings and coverage, made of dicts, lists and JSON's own values only.

    `null` or an empty list: not said; `false`: said to be absent. Sizes in mm in the order
    spoken, durations in days, times in seconds.
    """
    return {
        "utterances": [utterance_document(each) for each in session.utterances],
        "findings": [finding_document(each) for each in session.findings],
        "coverage": coverage_document(session.coverage),
    }


def utterance_document(heard: UtteranceHeard) -> dict[str, Any]:
    """One utterance; `why` says why it made no finding, or which part of it failed."""
    return {
        "text": heard.text,
        "start_s": round(heard.start_s, 3),
        "end_s": round(heard.end_s, 3),
        "kind": heard.kind,
        "confidence": round(heard.confidence, 4),
        "id": heard.id,
        "why": heard.why,
        "not_understood": list(heard.not_understood),
    }


def finding_document(finding: Finding) -> dict[str, Any]:
    """One finding."""
    document: dict[str, Any] = {name: plain(finding, name) for name in FIRST}
    document["needs_review"] = [each.model_dump() for each in finding.needs_review]
    document |= {name: plain(finding, name) for name in MORE}
    document["alternatives"] = [each.model_dump(mode="json") for each in finding.alternatives]
    document["confidence"] = round(finding.confidence, 4)
    document["id"] = finding.id
    document["said"] = finding.said
    document["utterances"] = list(finding.utterances)
    return document


def coverage_document(regions: tuple[RegionCoverage, ...]) -> dict[str, list[str]]:
    """Region names in order; the normal ones are among the examined ones."""
    return {
        "examined": [each.region for each in regions if each.examined],
        "normal": [each.region for each in regions if each.is_normal],
        "not_examined": [each.region for each in regions if not each.examined],
    }
