"""The hand-written ground truth speaks the vocabulary's language, and only that."""

from __future__ import annotations

from pathlib import Path

import pytest
from pydantic import ValidationError

from dictate.bench.sentences import Sentence, load_sentences
from dictate.exam.finding import FindingFields
from dictate.vocabulary.loader import load
from dictate.vocabulary.schema import Lexicon, Slot

ROOT = Path(__file__).resolve().parents[1] / "recordings_synthetic"
FILES = ("dev", "eval", "demo")
SLOTS = {
    "kind": Slot.KIND,
    "distribution": Slot.DISTRIBUTION,
    "colours": Slot.COLOUR,
    "surface": Slot.SURFACE,
    "borders": Slot.BORDER,
    "consistency": Slot.CONSISTENCY,
    "mobility": Slot.MOBILITY,
    "attachment": Slot.ATTACHMENT,
    "symptoms": Slot.SYMPTOM,
    "denied_symptoms": Slot.SYMPTOM,
    "change": Slot.CHANGE,
    "normal_variant": Slot.NORMAL_VARIANT,
    "node_level": Slot.NODE_LEVEL,
}


@pytest.fixture(scope="module")
def lexicon() -> Lexicon:
    return load()


@pytest.mark.parametrize("name", FILES)
def test_every_place_is_a_place_of_the_examination(name: str, lexicon: Lexicon) -> None:
    places = {r.value: {s.value for s in r.subsites} for r in lexicon.regions}
    for sentence in load_sentences(ROOT / f"{name}_sentences.toml"):
        for finding in sentence.findings:
            assert finding.region in places, sentence.id
            assert finding.subsite is None or finding.subsite in places[finding.region], sentence.id
        for marked in (*sentence.normal, *sentence.not_examined):
            assert marked.region in places, sentence.id
        for order in sentence.commands:
            assert order.region is None or order.region in places, sentence.id


@pytest.mark.parametrize("name", FILES)
def test_every_value_is_one_of_the_vocabulary(name: str, lexicon: Lexicon) -> None:
    known = {slot: {term.value for term in terms} for slot, terms in lexicon.terms.items()}
    for sentence in load_sentences(ROOT / f"{name}_sentences.toml"):
        for finding in sentence.findings:
            for field, slot in SLOTS.items():
                for value in _as_tuple(getattr(finding, field)):
                    assert value in known[slot], (sentence.id, field, value)


def test_a_command_that_is_judged_exists(lexicon: Lexicon) -> None:
    known = {term.value for term in lexicon.commands}
    for name in FILES:
        for sentence in load_sentences(ROOT / f"{name}_sentences.toml"):
            assert {order.do for order in sentence.commands} <= known, sentence.id


def test_truth_outside_the_record_is_refused() -> None:
    with pytest.raises(ValidationError):
        FindingFields.model_validate({"region": "tongue", "side": "lift"})
    with pytest.raises(ValidationError, match="only off-talk means nothing"):
        Sentence(id="x", kind="finding", accent="us", say="ulcer")
    with pytest.raises(ValidationError, match="only off-talk means nothing"):
        Sentence(
            id="x",
            kind="offtalk",
            accent="us",
            say="hello",
            findings=(FindingFields(region="tongue"),),
        )


def _as_tuple(value: object) -> tuple[object, ...]:
    if value is None:
        return ()
    return value if isinstance(value, tuple) else (value,)
