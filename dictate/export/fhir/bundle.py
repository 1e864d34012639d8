"""The whole document: a Bundle that holds everything it refers to."""

from __future__ import annotations

from collections.abc import Iterator

from dictate.exam.events import Amended
from dictate.exam.finding import Finding
from dictate.exam.record import Record
from dictate.export.extras import NOTHING, Extras
from dictate.export.fhir.composition import composition, composition_id
from dictate.export.fhir.document import Document
from dictate.export.fhir.ids import URI, urn
from dictate.export.fhir.observation import finding_observation, region_observation
from dictate.export.fhir.people import people
from dictate.export.fhir.provenance import provenances
from dictate.export.fhir.words import Json, instant
from dictate.export.json_text import json_text

ENTERED_IN_ERROR = "entered in error"


def fhir_json(session: Record, extras: Extras = NOTHING) -> str:
    """The document as JSON text, ending in a newline."""
    return json_text(bundle(session, extras))


def bundle(session: Record, extras: Extras = NOTHING) -> Json:
    """The document as FHIR's JSON: Composition first, then all that it refers to."""
    document = Document(session, extras)
    findings = list(_findings(document))
    by_region: dict[str, list[str]] = {}
    for region, observation in findings:
        by_region.setdefault(region, []).append(observation["id"])
    observations = [*_regions(document), *(each for _, each in findings)]
    ids = [each["id"] for each in observations]
    resources = [
        composition(document, by_region),
        *people(document),
        *observations,
        *provenances(document, composition_id(document), ids),
    ]
    return {
        "resourceType": "Bundle",
        "id": document.identifier,
        "identifier": {"system": URI, "value": urn(document.identifier)},
        "type": "document",
        "timestamp": instant(session.events[-1].at),
        "entry": [{"fullUrl": urn(each["id"]), "resource": each} for each in resources],
    }


def _findings(document: Document) -> Iterator[tuple[str, Json]]:
    """Section and Observation of each finding, those struck out included."""
    changed = _amended_ids(document)
    for entry in document.chart.entries:
        finding = entry.finding
        status = _status(document, finding.id in changed)
        yield finding.region or "", finding_observation(document, finding, status)
    for finding in _struck(document):
        made = finding_observation(document, finding, "entered-in-error")
        yield ENTERED_IN_ERROR, made


def _regions(document: Document) -> Iterator[Json]:
    changed = _amended_ids(document)
    touched = {each.region for each in _struck(document)}
    for each, words in document.chart.coverage:
        amended = each.region in touched or bool(changed & set(each.findings))
        yield region_observation(document, each, words, _status(document, amended))


def _status(document: Document, amended: bool) -> str:
    if document.chart.is_draft:
        return "preliminary"
    return "amended" if amended else "final"


def _amended_ids(document: Document) -> set[str]:
    bodies = [each.body for each in document.closings if isinstance(each.body, Amended)]
    return {change.target for body in bodies for change in body.changed}


def _struck(document: Document) -> list[Finding]:
    bodies = [each.body for each in document.closings if isinstance(each.body, Amended)]
    return [finding for body in bodies for finding in body.struck]
