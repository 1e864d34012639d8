"""What a "no" reaches, and what it does not."""

from __future__ import annotations

from typing import Any

import pytest

from tests.matching_helpers import AFTER_ULCER, detail, found, marks, read, said

ON = "ulcer left lateral tongue "
BASE: dict[str, Any] = {
    "region": "tongue",
    "subsite": "lateral border",
    "side": "left",
    "kind": "ulcer",
}

SCOPES: list[tuple[str, dict[str, Any]]] = [
    ("no tenderness", {"tender": False}),
    ("non tender", {"tender": False}),
    ("non-tender", {"tender": False}),
    ("not tender", {"tender": False}),
    ("without tenderness", {"tender": False}),
    ("tenderness absent", {"tender": False}),
    ("not tender but indurated", {"tender": False, "consistency": ["indurated"]}),
    ("not fixed, mobile", {"mobility": "mobile"}),
    ("not mobile", {"mobility": "fixed"}),
    ("fixed, not mobile", {"mobility": "fixed"}),
    ("denies pain", {"denied_symptoms": ["pain"]}),
    ("no pain", {"denied_symptoms": ["pain"]}),
    ("painless", {"denied_symptoms": ["pain"]}),
    ("no pain, no bleeding", {"denied_symptoms": ["pain", "bleeding"]}),
    ("no pain, bleeding or numbness", {"denied_symptoms": ["pain", "bleeding", "numbness"]}),
    ("no pain bleeding or numbness firm", {
        "denied_symptoms": ["pain", "bleeding", "numbness"], "consistency": ["firm"]}),
    ("no pain or bleeding, tender", {"denied_symptoms": ["pain", "bleeding"], "tender": True}),
    ("no pain but bleeding", {"denied_symptoms": ["pain"], "symptoms": ["bleeding"]}),
    ("painful, no bleeding", {"symptoms": ["pain"], "denied_symptoms": ["bleeding"]}),
    ("no bleeding, painful", {"symptoms": ["pain"], "denied_symptoms": ["bleeding"]}),
    ("no ulceration or bleeding", {
        "surface": ["not ulcerated"], "denied_symptoms": ["bleeding"]}),
    ("without induration", {"consistency": ["not indurated"]}),
    ("no induration, firm", {"consistency": ["not indurated", "firm"]}),
    ("no evidence of induration", {"consistency": ["not indurated"]}),
    ("negative for pain", {"denied_symptoms": ["pain"]}),
    ("does not bleed", {"denied_symptoms": ["bleeding"]}),
    ("does not wipe off", {"wipes_off": False}),
    ("doesn't wipe off", {"wipes_off": False}),
    ("can't be wiped off", {"wipes_off": False}),
    ("wipes off", {"wipes_off": True}),
    ("not raised", {"surface": ["flat"]}),
    ("not well defined", {"borders": ["ill-defined"]}),
    ("not red", {}),
    ("no trismus and no dysphagia", {"denied_symptoms": ["trismus", "dysphagia"]}),
    ("no trismus and dysphagia", {"denied_symptoms": ["trismus", "dysphagia"]}),
    ("neither tender nor fixed", {"tender": False, "mobility": "mobile"}),
    ("not only tender but fixed", {"tender": True, "mobility": "fixed"}),
    ("no longer tender", {"tender": False}),
    ("no change in size", {"change": "stable"}),
    ("patient denies any pain or numbness", {"denied_symptoms": ["pain", "numbness"]}),
]  # fmt: skip


@pytest.mark.parametrize(("text", "fields"), SCOPES)
def test_the_scope_of_a_negation(text: str, fields: dict[str, Any]) -> None:
    assert found(read(ON + text)) == [BASE | fields]


@pytest.mark.parametrize(("text", "fields"), SCOPES)
def test_the_same_scope_in_a_detail_of_the_finding_before(
    text: str, fields: dict[str, Any]
) -> None:
    if fields:
        assert detail(read(text, AFTER_ULCER)) == fields


def test_what_is_not_red_is_not_recorded_as_red_but_kept_in_words() -> None:
    (command,) = read(ON + "not red").commands
    shown = said(command.fields, note=True)  # type: ignore[union-attr]
    assert "colours" not in shown
    assert shown["note"] == "not red"


@pytest.mark.parametrize(
    ("text", "state"),
    [
        ("no ulcer on the left lateral tongue", "inspected"),
        ("no white or red patches on the left side of the tongue", "inspected"),
        ("left side of the tongue no lumps", "palpated"),
        ("no small grey macules on the left tongue", "inspected"),
        ("left tongue without ulcers or erosions", "inspected"),
    ],
)
def test_a_lesion_said_to_be_absent_is_no_finding(text: str, state: str) -> None:
    reading = read(text)
    assert found(reading) == []
    assert marks(reading) == [("tongue", state, "left")]


def test_an_absent_lesion_beside_one_that_is_there() -> None:
    assert found(read("no ulcer but a white plaque on the left buccal mucosa")) == [
        {"region": "buccal mucosa", "side": "left", "kind": "plaque", "colours": ["white"]}
    ]


@pytest.mark.parametrize(
    "text",
    ["small not tender ulcer left lateral tongue", "a non tender ulcer, left lateral tongue"],
)
def test_an_adjective_that_is_denied_leaves_its_noun_standing(text: str) -> None:
    assert found(read(text)) == [BASE | {"tender": False}]


def test_a_side_that_is_denied_is_never_recorded() -> None:
    (finding,) = found(read("ulcer on the right, not the left, lateral tongue"))
    assert finding["side"] == "right"


def test_that_there_is_no_lesion_is_seen_and_not_said_to_be_felt() -> None:
    assert marks(read("no floor of mouth lesion")) == [("floor of mouth", "inspected", None)]
    assert marks(read("no lump in the floor of mouth")) == [("floor of mouth", "palpated", None)]
