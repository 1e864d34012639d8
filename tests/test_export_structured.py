"""The JSON document keeps to the schema that is published for it."""

from __future__ import annotations

import json
from copy import deepcopy
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

from dictate.exam.contract import FIRST, MORE
from dictate.exam.session import Session
from dictate.export.extras import NOTHING, Extras
from dictate.export.json_text import json_text
from dictate.export.structured import DIALECT, as_json, schema_json
from tests.export_samples import EXTRAS, amended, chair, dictated, signed

VALIDATOR = Draft202012Validator(
    json.loads(schema_json()), format_checker=Draft202012Validator.FORMAT_CHECKER
)


def test_the_schema_is_one() -> None:
    Draft202012Validator.check_schema(VALIDATOR.schema)
    assert VALIDATOR.schema["$schema"] == DIALECT


@pytest.mark.parametrize(
    "session", [dictated().session, signed().session, amended().session, chair(None).session]
)
@pytest.mark.parametrize("extras", [NOTHING, EXTRAS])
def test_every_document_keeps_to_it(session: Session, extras: Extras) -> None:
    VALIDATOR.validate(json.loads(as_json(session, extras)))


def wrong(change: str) -> dict[str, Any]:
    document = deepcopy(json.loads(as_json(signed().session, EXTRAS)))
    if change == "side":
        document["findings"][0]["side"] = "upper"
    elif change == "size":
        document["findings"][0]["size_mm"] = ["ten"]
    elif change == "missing":
        del document["coverage"]
    elif change == "extra":
        document["findings"][0]["diagnosis"] = "x"
    else:
        document["state"] = "done"
    return document


@pytest.mark.parametrize("change", ["side", "size", "missing", "extra", "state"])
def test_a_document_that_does_not_is_found_out(change: str) -> None:
    assert not VALIDATOR.is_valid(wrong(change))


def test_the_document_holds_the_session() -> None:
    session = amended().session
    document = json.loads(as_json(session, EXTRAS))
    assert document["session"] == session.id
    assert document["version"] == 2
    assert [each["id"] for each in document["findings"]] == [f.id for f in session.findings]
    plaque = document["findings"][0]
    assert (plaque["side"], plaque["size_mm"], plaque["duration_days"]) == (
        "right",
        [10.0, 6.0],
        21,
    )
    (change,) = document["amendments"]
    assert change["why"] == "side mistaken"
    assert change["changed"] == [{"field": "side", "old": "left", "new": "right", "target": "f1"}]
    assert (change["struck"], change["added"]) == (["f3"], ["f4"])
    assert document["sizes"]["f1"][0] == {"on": "2031-01-10", "size_mm": [6.0, 4.0]}
    assert document["rechecks"][0]["due"] == "2031-03-18"


def test_the_keys_that_were_promised_come_first_and_in_order() -> None:
    document = json.loads(as_json(signed().session))
    assert list(document)[:9] == [
        *("session", "patient", "begun", "state", "version", "examiner"),
        *("utterances", "findings", "coverage"),
    ]
    assert list(document["findings"][0])[: len(FIRST) + 1 + len(MORE)] == [
        *FIRST,
        "needs_review",
        *MORE,
    ]


@given(st.dictionaries(st.text(max_size=5), st.text(max_size=20), max_size=3))
@settings(max_examples=150, deadline=None)
def test_any_text_survives_and_none_acts(document: dict[str, str]) -> None:
    text = json_text(document)
    assert json.loads(text) == document
    assert "\x1b" not in text
    assert "\u202e" not in text
    text.encode("utf-8")
