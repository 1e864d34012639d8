"""The pieces that FHIR resources are made of."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import Any
from xml.sax.saxutils import escape

from dictate.export.fhir.ids import system
from dictate.export.plain import visible

Json = dict[str, Any]
UCUM = "http://unitsofmeasure.org"


def without_empty(resource: Mapping[str, Any]) -> Json:
    """The resource without what is not known: FHIR forbids null and empty."""
    return {key: value for key, value in resource.items() if value not in (None, "", [], {})}


def concept(text: str, slot: str | None = None, code: str | None = None) -> Json:
    """A CodeableConcept in words; with `slot`, coded in our own system too."""
    words = visible(text)
    if slot is None:
        return {"text": words}
    own = {"system": system(slot), "code": visible(code or text), "display": words}
    return {"coding": [own], "text": words}


def coded(system_uri: str, code: str, display: str) -> Json:
    """A CodeableConcept of one of HL7's own code systems."""
    return {"coding": [{"system": system_uri, "code": code, "display": display}]}


def quantity(value: float, unit: str) -> Json:
    """A number in a UCUM unit."""
    number = int(value) if float(value).is_integer() else value
    return {"value": number, "unit": unit, "system": UCUM, "code": unit}


def narrative(lines: Iterable[str]) -> Json:
    """Generated text, one paragraph a line."""
    paragraphs = "".join(f"<p>{escape(visible(line))}</p>" for line in lines)
    return {
        "status": "generated",
        "div": f'<div xmlns="http://www.w3.org/1999/xhtml">{paragraphs}</div>',
    }


def instant(at: datetime) -> str:
    """With seconds and offset, as FHIR wants it."""
    return at.isoformat(timespec="milliseconds")
