"""The FHIR document: read by a reference library, held to the published rules and lists.

Structure: fhirclient, generated from FHIR 4.0.1. Rules: the invariants of the specification
(hl7.org/fhir/R4), evaluated by fhirpathpy. Lists: the required and extensible value sets of the
same pages, copied here because the libraries do not hold them. Units: UCUM, by ucumvert.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from copy import deepcopy
from typing import Any
from xml.etree import ElementTree

import pytest
from fhirclient.models.bundle import Bundle
from fhirclient.models.fhirabstractbase import FHIRValidationError
from fhirpathpy import evaluate
from fhirpathpy.models import models
from ucumvert import PintUcumRegistry

from dictate.exam.commands import AddFinding
from dictate.exam.session import Session
from dictate.export.extras import NOTHING
from dictate.export.fhir.bundle import bundle, fhir_json
from tests.exam_samples import PLAQUE
from tests.export_samples import EXTRAS, amended, chair, dictated, signed

Json = dict[str, Any]
OBSERVATION_STATUS = {
    "registered", "preliminary", "final", "amended", "corrected", "cancelled",
    "entered-in-error", "unknown",
}  # fmt: skip
COMPOSITION_STATUS = {"preliminary", "final", "amended", "entered-in-error"}
ATTESTATION_MODE = {"personal", "professional", "legal", "official"}
RELATIONSHIP = {"replaces", "transforms", "signs", "appends"}
NARRATIVE_STATUS = {"generated", "extensions", "additional", "empty"}
DEVICE_NAME = {
    "udi-label-name", "user-friendly-name", "patient-reported-name", "manufacturer-name",
    "model-name", "other",
}  # fmt: skip
CODES = {
    "http://terminology.hl7.org/CodeSystem/observation-category": {
        "social-history", "vital-signs", "imaging", "laboratory", "procedure", "survey", "exam",
        "therapy", "activity",
    },
    "http://terminology.hl7.org/CodeSystem/data-absent-reason": {
        "unknown", "asked-unknown", "temp-unknown", "not-asked", "asked-declined", "masked",
        "not-applicable", "unsupported", "as-text", "error", "not-a-number",
        "negative-infinity", "positive-infinity", "not-performed", "not-permitted",
    },
    "http://terminology.hl7.org/CodeSystem/provenance-participant-type": {
        "enterer", "performer", "author", "verifier", "legal", "attester", "informant",
        "custodian", "assembler", "composer",
    },
    "http://terminology.hl7.org/CodeSystem/iso-21089-lifecycle": {
        "access", "hold", "amend", "archive", "attest", "decrypt", "deidentify", "deprecate",
        "destroy", "disclose", "encrypt", "extract", "link", "merge", "originate", "pseudonymize",
        "reactivate", "receive", "reidentify", "unhold", "report", "restore", "transform",
        "transmit", "unlink", "unmerge", "verify",
    },
}  # fmt: skip
INVARIANTS = {
    "bdl-7": ("Bundle", "entry.where(fullUrl.exists()).select(fullUrl).isDistinct()"),
    "bdl-9": (
        "Bundle",
        "type = 'document' implies (identifier.system.exists() and identifier.value.exists())",
    ),
    "bdl-10": ("Bundle", "type = 'document' implies timestamp.exists()"),
    "bdl-11": ("Bundle", "type = 'document' implies entry.first().resource is Composition"),
    "obs-6": ("Observation", "dataAbsentReason.empty() or value.empty()"),
    "obs-7": (
        "Observation",
        "value.empty() or component.code.where(coding.intersect(%resource.code.coding).exists())"
        ".empty()",
    ),
    "cmp-1": ("Composition", "section.all(text.exists() or entry.exists() or section.exists())"),
    "cmp-2": ("Composition", "section.all(emptyReason.empty() or entry.empty())"),
}
"""Of the pages of Bundle, Observation and Composition, each with the resource that it is of;
bdl-7 without versions, bdl-10 without hasValue(), which the library lacks."""


def draft() -> Session:
    return dictated().session


def empty() -> Session:
    return chair(patient=None).session


SESSIONS = {
    "draft": draft,
    "signed": lambda: signed().session,
    "amended": lambda: amended().session,
    "empty": empty,
}


@pytest.fixture(params=SESSIONS)
def document(request: pytest.FixtureRequest) -> Json:
    return bundle(SESSIONS[request.param](), NOTHING if request.param == "empty" else EXTRAS)


def resources(document: Json, kind: str) -> list[Json]:
    found = [each["resource"] for each in document["entry"]]
    return [each for each in found if each["resourceType"] == kind]


def holds(rule: str, document: Json) -> bool:
    kind, expression = INVARIANTS[rule]
    concerned = [document] if kind == "Bundle" else resources(document, kind)
    assert concerned
    return all(
        evaluate(each, expression, {"resource": each}, models["r4"]) == [True] for each in concerned
    )


def everything(part: object) -> Iterator[tuple[str, Any]]:
    """Every key and value at any depth."""
    if isinstance(part, dict):
        for key, value in part.items():
            yield key, value
            yield from everything(value)
    elif isinstance(part, list):
        for each in part:
            yield from everything(each)


def finding(document: Json, kind: str) -> Json:
    (found,) = [
        each
        for each in resources(document, "Observation")
        if each.get("valueCodeableConcept", {}).get("text") == kind
    ]
    return found


def test_the_reference_library_takes_it(document: Json) -> None:
    made = Bundle(document, strict=True)
    assert made.as_json()["type"] == "document"


def test_the_reference_library_refuses_what_is_wrong() -> None:
    wrong = bundle(draft())
    del resources(wrong, "Observation")[0]["status"]
    with pytest.raises(FHIRValidationError):
        Bundle(wrong, strict=True)


@pytest.mark.parametrize("rule", INVARIANTS)
def test_the_rules_of_the_specification_hold(document: Json, rule: str) -> None:
    assert holds(rule, document)


def broken(rule: str) -> Json:
    """A document that breaks that rule."""
    made = deepcopy(bundle(signed().session))
    observation = finding(made, "plaque")
    if rule == "bdl-7":
        made["entry"][1]["fullUrl"] = made["entry"][0]["fullUrl"]
    elif rule == "bdl-9":
        del made["identifier"]["system"]
    elif rule == "bdl-10":
        del made["timestamp"]
    elif rule == "bdl-11":
        made["entry"].reverse()
    elif rule == "obs-6":
        observation["dataAbsentReason"] = {"text": "unknown"}
    elif rule == "obs-7":
        observation["component"][0]["code"] = observation["code"]
    elif rule == "cmp-1":
        resources(made, "Composition")[0]["section"].append({"title": "nothing"})
    else:
        resources(made, "Composition")[0]["section"][0]["emptyReason"] = {"text": "why"}
    return made


@pytest.mark.parametrize("rule", INVARIANTS)
def test_the_check_of_a_rule_can_fail(rule: str) -> None:
    assert not holds(rule, broken(rule))


def test_every_code_is_of_its_published_list(document: Json) -> None:
    for each in resources(document, "Observation"):
        assert each["status"] in OBSERVATION_STATUS
    (composition,) = resources(document, "Composition")
    assert composition["status"] in COMPOSITION_STATUS
    assert {each["mode"] for each in composition.get("attester", [])} <= ATTESTATION_MODE
    assert {each["code"] for each in composition.get("relatesTo", [])} <= RELATIONSHIP
    for each in resources(document, "Device"):
        assert {name["type"] for name in each["deviceName"]} <= DEVICE_NAME
    for key, value in everything(document):
        if key == "coding":
            for coding in value:
                known = CODES.get(coding["system"])
                assert known is None or coding["code"] in known
        if key == "text" and isinstance(value, dict):
            assert value["status"] in NARRATIVE_STATUS


def test_no_code_system_of_others_is_copied(document: Json) -> None:
    allowed = ("http://terminology.hl7.org/CodeSystem/", "urn:oid:2.25.", "urn:ietf:rfc:3986")
    systems = {v for k, v in everything(document) if k == "system"} - {"http://unitsofmeasure.org"}
    assert all(each.startswith(allowed) for each in systems)
    text = json.dumps(document).lower()
    assert not [each for each in ("snomed", "loinc", "icd-10", "icd10") if each in text]


def test_nothing_is_null_or_empty(document: Json) -> None:
    assert not [key for key, value in everything(document) if value in (None, "", [], {})]


def test_every_reference_leads_to_an_entry(document: Json) -> None:
    there = {each["fullUrl"] for each in document["entry"]}
    asked = {value for key, value in everything(document) if key == "reference"}
    assert asked <= there
    reached = asked | {document["entry"][0]["fullUrl"]}
    provenances = {f"urn:uuid:{each['id']}" for each in resources(document, "Provenance")}
    assert there <= reached | provenances


def test_narratives_are_well_formed(document: Json) -> None:
    for key, value in everything(document):
        if key == "div":
            root = ElementTree.fromstring(value)
            assert root.tag == "{http://www.w3.org/1999/xhtml}div"
            assert "".join(root.itertext()).strip()


def test_units_are_ucum_and_mean_what_was_said(document: Json) -> None:
    units = PintUcumRegistry()
    for each in resources(document, "Observation"):
        for component in each.get("component", []):
            quantity = component.get("valueQuantity")
            if quantity is None:
                continue
            assert quantity["system"] == "http://unitsofmeasure.org"
            wanted = "day" if "duration" in component["code"]["text"] else "millimeter"
            (quantity["value"] * units.from_ucum(quantity["code"])).to(wanted)


def test_the_numbers_are_the_findings() -> None:
    units = PintUcumRegistry()
    found = finding(bundle(signed().session), "plaque")
    sizes, days = [], []
    for component in found["component"]:
        if quantity := component.get("valueQuantity"):
            value = quantity["value"] * units.from_ucum(quantity["code"])
            if "duration" in component["code"]["text"]:
                days.append(value.to("day").magnitude)
            else:
                sizes.append(value.to("millimeter").magnitude)
    assert sizes == pytest.approx([10.0, 6.0])
    assert days == pytest.approx([21])


def test_everything_said_of_a_finding_is_in_it() -> None:
    found = finding(bundle(signed().session), "plaque")
    said = {}
    for component in found["component"]:
        name = component["code"]["text"]
        value = next(v for k, v in component.items() if k.startswith("value"))
        said[name] = value["text"] if isinstance(value, dict) and "text" in value else value
    assert said["colours"] == "white"
    assert said["surface"] == "granular"
    assert said["borders"] == "ill-defined"
    assert said["consistency"] == "indurated"
    assert said["tenderness"] is False
    assert said["wipes off"] is False
    assert said["symptom: burning"] is True
    assert said["symptom: numbness"] is False
    assert said["count"] == 1
    assert [each["text"] for each in found["note"]] == ["near <b>tooth</b> & *crown*"]
    site = found["bodySite"]
    assert site["text"] == "left lateral border of the tongue"
    assert [each["code"] for each in site["coding"]] == ["tongue", "lateral border", "left"]


def test_regions_are_normal_or_not_performed_and_never_both() -> None:
    found = {
        each["bodySite"]["text"]: each
        for each in resources(bundle(signed().session), "Observation")
        if each["code"]["coding"][0]["code"] == "region"
    }
    assert len(found) == 20
    assert found["buccal mucosa"]["valueCodeableConcept"]["text"] == "normal"
    lips = found["lips"]
    assert "valueCodeableConcept" not in lips
    assert lips["dataAbsentReason"]["coding"][0]["code"] == "not-performed"
    assert found["oropharynx"]["note"] == [{"text": "not examined: gag reflex"}]


def statuses(document: Json) -> dict[str, str]:
    return {
        each["valueCodeableConcept"]["text"]: each["status"]
        for each in resources(document, "Observation")
        if each["code"]["coding"][0]["code"] == "finding"
    }


def test_a_draft_is_preliminary_and_nobody_answers_for_it() -> None:
    made = bundle(draft(), EXTRAS)
    assert set(statuses(made).values()) == {"preliminary"}
    (composition,) = resources(made, "Composition")
    assert composition["status"] == "preliminary"
    assert "attester" not in composition
    assert not resources(made, "Practitioner")
    notes = [n["text"] for each in resources(made, "Observation") for n in each.get("note", [])]
    assert "TO CONFIRM: side (no side was said)" in notes


def test_a_signed_document_is_final_and_attested() -> None:
    made = bundle(signed().session, EXTRAS)
    assert set(statuses(made).values()) == {"final"}
    (composition,) = resources(made, "Composition")
    assert composition["status"] == "final"
    assert [each["mode"] for each in composition["attester"]] == ["professional"]
    assert [each["name"][0]["text"] for each in resources(made, "Practitioner")] == ["A. Berg"]
    assert "relatesTo" not in composition


def test_an_amendment_shows_in_the_statuses() -> None:
    before, made = bundle(signed().session), bundle(amended().session, EXTRAS)
    assert statuses(made) == {
        "plaque": "amended",
        "torus palatinus": "final",
        "scar": "final",
        "naevus": "entered-in-error",
    }
    (composition,) = resources(made, "Composition")
    assert composition["status"] == "amended"
    (replaced,) = composition["relatesTo"]
    assert replaced["code"] == "replaces"
    assert replaced["targetIdentifier"] == before["identifier"]
    assert finding(made, "plaque")["id"] == finding(before, "plaque")["id"]
    assert made["identifier"] != before["identifier"]


def test_provenance_tells_who_signed_and_who_amended_why() -> None:
    made = bundle(amended().session, EXTRAS)
    acts = {each["activity"]["coding"][0]["code"]: each for each in resources(made, "Provenance")}
    assert set(acts) == {"originate", "verify", "amend"}
    assert acts["amend"]["reason"] == [{"text": "side mistaken"}]
    names = {
        f"urn:uuid:{each['id']}": each["name"][0]["text"]
        for each in resources(made, "Practitioner")
    }
    assert [names[a["who"]["reference"]] for a in acts["verify"]["agent"]] == ["A. Berg"]
    assert [names[a["who"]["reference"]] for a in acts["amend"]["agent"]] == ["C. Dahl"]
    assert len(acts["amend"]["target"]) == 4


def test_an_assistant_who_typed_is_an_enterer() -> None:
    seat = chair()
    seat.session.do(AddFinding(fields=PLAQUE), actor="M. Sund", at=seat.tick())
    seat.signed()
    made = bundle(seat.session)
    (originate,) = [
        each
        for each in resources(made, "Provenance")
        if each["activity"]["coding"][0]["code"] == "originate"
    ]
    enterers = [
        each["who"]["display"]
        for each in originate["agent"]
        if each["type"]["coding"][0]["code"] == "enterer"
    ]
    assert enterers == ["M. Sund"]


def test_the_same_session_gives_the_same_document() -> None:
    assert fhir_json(signed().session, EXTRAS) == fhir_json(signed().session, EXTRAS)


def test_control_characters_do_not_get_in() -> None:
    seat = chair()
    seat.plaque(note="a\x00b\x1b\ud800")
    told = fhir_json(seat.session)
    told.encode("utf-8")
    assert "a[U+0000]b[U+001B][U+D800]" in told
