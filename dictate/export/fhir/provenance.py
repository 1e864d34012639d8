"""Who did what to the record, and when."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from dictate.exam.events import KEYBOARD, SYSTEM, VOICE, Amended
from dictate.export.fhir.document import Closing, Document, practitioner_id, reference
from dictate.export.fhir.ids import made, urn
from dictate.export.fhir.words import Json, coded, concept, instant, without_empty
from dictate.export.plain import visible

_LIFECYCLE = "http://terminology.hl7.org/CodeSystem/iso-21089-lifecycle"
_PARTICIPANT = "http://terminology.hl7.org/CodeSystem/provenance-participant-type"
_ACTIVITIES = {
    "originate": "Originate/Retain Record Lifecycle Event",
    "verify": "Verify Record Lifecycle Event",
    "amend": "Amend (Update) Record Lifecycle Event",
}


def provenances(
    document: Document, composition: str, observations: Sequence[str]
) -> Iterator[Json]:
    """How it came about, who signed it, and each amendment."""
    targets = [composition, *observations]
    yield _originated(document, targets)
    for closing in document.closings:
        if isinstance(closing.body, Amended):
            yield _amended(document, closing, closing.body, composition)
        else:
            yield _verified(document, closing, targets)


def _originated(document: Document, targets: Sequence[str]) -> Json:
    agents = [_agent("author", each) for each in document.performers]
    agents.append(_agent("assembler", document.device))
    agents += [_agent("enterer", {"display": visible(name)}) for name in _assistants(document)]
    made_on = instant(document.session.created)
    return _provenance(document, "originate", made_on, targets, agents)


def _verified(document: Document, closing: Closing, targets: Sequence[str]) -> Json:
    who = reference(practitioner_id(closing.body.examiner))
    at = instant(closing.event.at)
    return _provenance(document, "verify", at, targets, [_agent("verifier", who)])


def _amended(document: Document, closing: Closing, body: Amended, composition: str) -> Json:
    touched = [each.target for each in body.changed]
    touched += [each.id for each in (*body.struck, *body.added)]
    kept = {each.id for each in document.session.findings}
    touched += [each.target for each in body.decided if each.target in kept]
    session = document.session.id
    targets = [made(session, "finding", each) for each in dict.fromkeys(touched)]
    agents = [_agent("author", reference(practitioner_id(body.examiner)))]
    at = instant(closing.event.at)
    amend = _provenance(document, f"amend {body.version}", at, [composition, *targets], agents)
    return {**amend, "reason": [concept(body.why)]}


def _provenance(
    document: Document, what: str, at: str, targets: Sequence[str], agents: list[Json]
) -> Json:
    code = what.split()[0]
    return without_empty(
        {
            "resourceType": "Provenance",
            "id": made(document.session.id, "provenance", what),
            "target": [{"reference": urn(each)} for each in targets],
            "recorded": at,
            "activity": coded(_LIFECYCLE, code, _ACTIVITIES[code]),
            "agent": agents,
        }
    )


def _agent(role: str, who: Json) -> Json:
    return {"type": coded(_PARTICIPANT, role, role.capitalize()), "who": who}


def _assistants(document: Document) -> list[str]:
    """Named users whose acts are in the record and who did not sign it."""
    unnamed = {VOICE, KEYBOARD, SYSTEM, *document.examiners}
    actors = dict.fromkeys(each.actor for each in document.session.events)
    return [each for each in actors if each not in unnamed]
