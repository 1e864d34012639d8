"""Patient, practitioners and the program itself."""

from __future__ import annotations

from collections.abc import Iterator

from dictate.export.fhir.document import DEVICE, Document, practitioner_id
from dictate.export.fhir.words import Json, narrative, without_empty
from dictate.export.plain import visible


def people(document: Document) -> Iterator[Json]:
    """Everybody and everything that the document refers to."""
    if document.patient_id:
        yield _patient(document, document.patient_id)
    for name in document.examiners:
        yield {
            "resourceType": "Practitioner",
            "id": practitioner_id(name),
            "text": narrative([name]),
            "name": [{"text": visible(name)}],
        }
    yield {
        "resourceType": "Device",
        "id": DEVICE,
        "text": narrative(["dictate: findings logger"]),
        "deviceName": [{"name": "dictate", "type": "user-friendly-name"}],
    }


def _patient(document: Document, identifier: str) -> Json:
    who = document.chart.patient
    lines = [f"{label}: {value}" for label, value in document.chart.patient_lines]
    return without_empty(
        {
            "resourceType": "Patient",
            "id": identifier,
            "text": narrative(lines),
            "identifier": [{"value": visible(who.identifier)}] if who.identifier else [],
            "name": [{"text": visible(who.name)}] if who.name else [],
            "birthDate": str(who.birth_year) if who.birth_year else None,
        }
    )
