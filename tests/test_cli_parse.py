"""`dictate parse`: the contract that programs outside the project rely on."""

from __future__ import annotations

import json
from pathlib import Path

import jsonschema
import pytest

from tests.cli_runner import assert_refused, dictate

PROMISED = (
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
    "needs_review",
)

STRINGS = {"type": "array", "items": {"type": "string"}}
TEXT = {"type": ["string", "null"]}
WHETHER = {"type": ["boolean", "null"]}
NUMBER = {"type": ["integer", "null"]}
FINDING = {
    "type": "object",
    "required": list(PROMISED),
    "properties": {
        "region": TEXT,
        "subsite": TEXT,
        "side": {"enum": ["left", "right", "midline", "bilateral", None]},
        "kind": TEXT,
        "count": NUMBER,
        "size_mm": {"type": "array", "items": {"type": "number"}, "maxItems": 3},
        "colours": STRINGS,
        "surface": STRINGS,
        "borders": STRINGS,
        "consistency": STRINGS,
        "mobility": TEXT,
        "tender": WHETHER,
        "attachment": TEXT,
        "wipes_off": WHETHER,
        "symptoms": STRINGS,
        "duration_days": NUMBER,
        "normal_variant": TEXT,
        "node_level": TEXT,
        "needs_review": {
            "type": "array",
            "items": {"type": "object", "required": ["field", "why"]},
        },
    },
}
UTTERANCE = {
    "type": "object",
    "required": ["text", "start_s", "end_s", "kind", "confidence"],
    "properties": {
        "kind": {"enum": ["finding", "command", "normal", "ignored"]},
        "confidence": {"type": "number", "minimum": 0, "maximum": 1},
    },
}
DOCUMENT = {
    "type": "object",
    "required": ["utterances", "findings", "coverage"],
    "properties": {
        "utterances": {"type": "array", "items": UTTERANCE},
        "findings": {"type": "array", "items": FINDING},
        "coverage": {
            "type": "object",
            "required": ["examined", "normal", "not_examined"],
            "additionalProperties": STRINGS,
        },
    },
}

SPOKEN = (
    "left lateral border of the tongue, white plaque ten by six millimetres, "
    "does not wipe off, non tender, three weeks"
)


def test_a_dictated_plaque_becomes_the_promised_document() -> None:
    document = dictate("parse", SPOKEN, "--json").json
    jsonschema.validate(document, DOCUMENT)
    (finding,) = document["findings"]
    assert {name: finding[name] for name in PROMISED} == {
        "region": "tongue",
        "subsite": "lateral border",
        "side": "left",
        "kind": "plaque",
        "count": 1,
        "size_mm": [10.0, 6.0],
        "colours": ["white"],
        "surface": [],
        "borders": [],
        "consistency": [],
        "mobility": None,
        "tender": False,
        "attachment": None,
        "wipes_off": False,
        "symptoms": [],
        "duration_days": 21,
        "normal_variant": None,
        "node_level": None,
        "needs_review": [],
    }
    assert document["coverage"]["examined"] == ["tongue"]


def test_talk_to_the_patient_is_kept_and_makes_no_finding() -> None:
    ran = dictate("parse", "open wide for me please", "--json")
    assert ran.code == 0
    assert ran.json["findings"] == []
    assert [each["kind"] for each in ran.json["utterances"]] == ["ignored"]
    assert ran.json["utterances"][0]["text"] == "open wide for me please"


def test_lines_share_a_session_and_give_an_object_each(tmp_path: Path) -> None:
    file = tmp_path / "dictation.txt"
    file.write_text(
        "floor of mouth within normal limits\n"
        "\n"
        "red patch on the right hard palate eight millimetres\n"
        "change the size to twelve millimetres\n"
        "thank you very much\n",
        encoding="utf-8",
    )
    ran = dictate("parse", "--lines", file, "--json")
    documents = [json.loads(line) for line in ran.out.splitlines()]
    for document in documents:
        jsonschema.validate(document, DOCUMENT)
    kinds = [[each["kind"] for each in document["utterances"]] for document in documents]
    assert kinds == [["normal"], [], ["finding"], ["command"], ["ignored"]]
    sizes = [[each["size_mm"] for each in document["findings"]] for document in documents]
    assert sizes == [[], [], [[8.0]], [[12.0]], []]
    assert documents[-1]["coverage"]["normal"] == ["floor of mouth"]


def test_without_json_it_is_told_in_words() -> None:
    ran = dictate("parse", SPOKEN)
    assert ran.code == 0
    assert "Left lateral border of the tongue" in ran.out
    assert "10 by 6 mm" in ran.out
    assert "not a diagnosis" in ran.out


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ((), ["TEXT", "--lines"]),
        (("a", "--lines", "b"), ["TEXT", "--lines"]),
        (("--lines", "no-such-file.txt"), ["no-such-file.txt", "check the path"]),
        (("--nonsense", "a"), ["--nonsense"]),
        (("a", "--vocab", "no-such.toml"), ["no-such.toml"]),
    ],
)
def test_bad_input_is_refused_in_one_line(arguments: tuple[str, ...], words: list[str]) -> None:
    assert_refused(dictate("parse", *arguments), *words)


def test_text_that_is_not_utf_8_is_refused(tmp_path: Path) -> None:
    file = tmp_path / "latin.txt"
    file.write_bytes("tongue déviée".encode("latin-1"))
    assert_refused(dictate("parse", "--lines", file), "UTF-8", "byte 8")


def test_a_broken_vocabulary_is_refused_with_its_place(tmp_path: Path) -> None:
    file = tmp_path / "ours.toml"
    file.write_text('[[kinds]]\nvalue = "wart"\nsai = ["wart"]\n', encoding="utf-8")
    assert_refused(dictate("parse", "wart", "--vocab", file), "ours.toml", "wart", "sai")


def test_a_clinic_adds_its_own_terms(tmp_path: Path) -> None:
    file = tmp_path / "ours.toml"
    file.write_text('[[kinds]]\nvalue = "wart"\nsay = ["wart", "warts"]\n', encoding="utf-8")
    spoken = "small wart on the left upper lip"
    (finding,) = dictate("parse", spoken, "--json", "--vocab", file).json["findings"]
    assert finding["kind"] == "wart"


def test_unknown_commands_are_refused() -> None:
    assert_refused(dictate("perse", "a"), "perse")
