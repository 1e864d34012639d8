"""The Composition that heads the document."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from dictate.export.chart import CAUTIONS, DRAFT, TITLE
from dictate.export.fhir.document import Document, practitioner_id, reference
from dictate.export.fhir.ids import URI, made, urn
from dictate.export.fhir.observation import region_id
from dictate.export.fhir.words import Json, concept, instant, narrative, without_empty
from dictate.export.note import head, sections
from dictate.export.plain import visible

_CODED = ("Findings", "Regions")
"""Sections of the note that the regions' sections tell already."""


def composition_id(document: Document) -> str:
    """The same for every version of the session."""
    return made(document.session.id, "composition")


def composition(document: Document, by_region: Mapping[str, Sequence[str]]) -> Json:
    """Status, authors, attestation and sections; `by_region`: ids of finding Observations."""
    signed = document.chart.signed
    identifier = composition_id(document)
    return without_empty(
        {
            "resourceType": "Composition",
            "id": identifier,
            "language": "en",
            "text": narrative(_summary(document)),
            "identifier": {"system": URI, "value": urn(identifier)},
            "status": _status(document),
            "type": concept("examination of face, neck and mouth"),
            "subject": document.subject,
            "date": instant(signed or document.session.events[-1].at),
            "author": document.authors,
            "title": f"{TITLE} (draft)" if document.chart.is_draft else TITLE,
            "attester": _attesters(document),
            "relatesTo": _replaces(document),
            "section": [*_regions(document, by_region), *_others(document)],
        }
    )


def _status(document: Document) -> str:
    version = document.session.version
    return "preliminary" if version == 0 else "final" if version == 1 else "amended"


def _summary(document: Document) -> list[str]:
    lines = [DRAFT] if document.chart.is_draft else []
    lines += [f"{label}: {value}" for label, value in head(document.chart)]
    return [*lines, document.chart.signature, *CAUTIONS]


def _attesters(document: Document) -> list[Json]:
    return [
        {
            "mode": "professional",
            "time": instant(each.event.at),
            "party": reference(practitioner_id(each.body.examiner)),
        }
        for each in document.closings
    ]


def _replaces(document: Document) -> list[Json]:
    """An amended document takes the place of the version before it."""
    version = document.session.version
    if version < 2:
        return []
    before = made(document.session.id, "document", version - 1)
    return [{"code": "replaces", "targetIdentifier": {"system": URI, "value": urn(before)}}]


def _regions(document: Document, by_region: Mapping[str, Sequence[str]]) -> Iterator[Json]:
    told = {each.finding.id: each for each in document.chart.entries}
    for each, words in document.chart.coverage:
        lines = [f"{each.region}: {words}"]
        lines += [f"{told[name].number}. {told[name].sentence}" for name in each.findings]
        ids = [region_id(document, each.region), *by_region.get(each.region, ())]
        yield _section(each.region, lines, ids)
    known = set(document.session.protocol.order)
    elsewhere = [name for name in by_region if name not in known]
    for name in elsewhere:
        lines = [
            f"{entry.number}. {entry.sentence}"
            for entry in document.chart.entries
            if (entry.finding.region or "") == name
        ]
        yield _section(name or "place not said", lines, by_region[name])


def _section(title: str, lines: Sequence[str], ids: Sequence[str]) -> Json:
    return {
        "title": visible(title),
        "text": narrative(lines or [title]),
        "entry": [{"reference": urn(each)} for each in ids],
    }


def _others(document: Document) -> Iterator[Json]:
    for each in sections(document.chart):
        if each.name not in _CODED:
            pairs = [f"{label}: {text}" for label, text in each.pairs]
            yield {"title": each.name, "text": narrative([*each.lines, *pairs])}
