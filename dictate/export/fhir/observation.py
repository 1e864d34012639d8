"""Findings and regions as Observations."""

from __future__ import annotations

from collections.abc import Iterator

from dictate.exam.coverage import RegionCoverage
from dictate.exam.finding import Finding
from dictate.exam.readback import finding_words, place_words, title
from dictate.export.fhir.document import Document
from dictate.export.fhir.ids import made, urn
from dictate.export.fhir.words import (
    Json,
    coded,
    concept,
    instant,
    narrative,
    quantity,
    without_empty,
)
from dictate.export.plain import visible

CATEGORY = coded("http://terminology.hl7.org/CodeSystem/observation-category", "exam", "Exam")
ABSENT = "http://terminology.hl7.org/CodeSystem/data-absent-reason"
_LISTS = ("colours", "surface", "borders", "consistency")
_WORDS = ("distribution", "mobility", "attachment", "change", "node_level")


def finding_id(document: Document, finding: Finding) -> str:
    """The same for every version of the session."""
    return made(document.session.id, "finding", finding.id)


def region_id(document: Document, region: str) -> str:
    return made(document.session.id, "region", region)


def finding_observation(document: Document, finding: Finding, status: str) -> Json:
    """One finding: its kind as value, where it is as body site, the rest as components."""
    named = finding.kind or finding.normal_variant
    slot = "kind" if finding.kind else "normal_variant"
    return without_empty(
        {
            **_frame(document, finding_id(document, finding), status),
            "text": narrative([finding_words(finding)]),
            "code": concept("examination finding", "observation", "finding"),
            "bodySite": _site(finding),
            "valueCodeableConcept": concept(named, slot) if named else None,
            "dataAbsentReason": None if named else coded(ABSENT, "unknown", "Unknown"),
            "component": list(_components(finding)),
            "note": [{"text": visible(text)} for text in _notes(finding)],
        }
    )


def region_observation(document: Document, each: RegionCoverage, words: str, status: str) -> Json:
    """What became of a region. Not examined: no value, and the reason why there is none."""
    value = None if not each.examined else concept(each.status, "coverage")
    members = [{"reference": urn(made(document.session.id, "finding", f))} for f in each.findings]
    return without_empty(
        {
            **_frame(document, region_id(document, each.region), status),
            "text": narrative([f"{each.region}: {words}"]),
            "code": concept("region of the examination", "observation", "region"),
            "bodySite": concept(each.region, "region"),
            "valueCodeableConcept": value,
            "dataAbsentReason": None if value else coded(ABSENT, "not-performed", "Not Performed"),
            "note": [{"text": visible(words)}],
            "hasMember": members,
        }
    )


def _frame(document: Document, identifier: str, status: str) -> Json:
    signed = document.chart.signed
    return {
        "resourceType": "Observation",
        "id": identifier,
        "status": status,
        "category": [CATEGORY],
        "subject": document.subject,
        "effectiveDateTime": instant(document.session.created),
        "issued": instant(signed) if signed else None,
        "performer": document.performers,
    }


def _site(finding: Finding) -> Json | None:
    """The place in words, coded by region, sub-site and side."""
    if finding.region is None and finding.subsite is None and finding.side is None:
        return None
    codings = [
        coding
        for slot in ("region", "subsite", "side")
        if (value := getattr(finding, slot))
        for coding in concept(value, slot)["coding"]
    ]
    return {"coding": codings, "text": visible(place_words(finding))}


def _components(finding: Finding) -> Iterator[Json]:
    for index, mm in enumerate(finding.size_mm, 1):
        dimension = concept(f"size, dimension {index} as said", "field", f"size_mm {index}")
        yield {"code": dimension, "valueQuantity": quantity(mm, "mm")}
    if finding.duration_days is not None:
        yield {"code": _named("duration_days"), "valueQuantity": _span(finding.duration_days)}
    if finding.count is not None:
        yield {"code": _named("count"), "valueInteger": finding.count}
    for field in _WORDS:
        if said := getattr(finding, field):
            yield {"code": _named(field), "valueCodeableConcept": concept(said, field)}
    for field in _LISTS:
        for word in getattr(finding, field):
            yield {"code": _named(field), "valueCodeableConcept": concept(word, field)}
    yield from _yes_or_no(finding)


def _span(days: int) -> Json:
    """Whole weeks as such, else days."""
    weeks, rest = divmod(days, 7)
    return quantity(weeks, "wk") if weeks and not rest else quantity(days, "d")


def _yes_or_no(finding: Finding) -> Iterator[Json]:
    """True: present; false: said to be absent."""
    for name in ("tender", "wipes_off"):
        said = getattr(finding, name)
        if said is not None:
            yield {"code": _named(name), "valueBoolean": said}
    for present, words in ((True, finding.symptoms), (False, finding.denied_symptoms)):
        for word in words:
            yield {"code": concept(f"symptom: {word}", "symptoms", word), "valueBoolean": present}
    if finding.kind and finding.normal_variant:
        variant = concept(finding.normal_variant, "normal_variant")
        yield {"code": _named("normal_variant"), "valueCodeableConcept": variant}


def _named(field: str) -> Json:
    return concept(title(field), "field", field)


def _notes(finding: Finding) -> Iterator[str]:
    if finding.note:
        yield finding.note
    for doubt in finding.needs_review:
        yield f"TO CONFIRM: {title(doubt.field)} ({doubt.why})"
