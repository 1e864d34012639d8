from __future__ import annotations

import pytest

from dictate.errors import ExamError
from dictate.exam.finding import FIELD_NAMES, FieldValue, FindingFields
from dictate.exam.parse import parse_field
from dictate.vocabulary.schema import Lexicon, Region, Slot, Subsite, Term

LEXICON = Lexicon(
    regions=(
        Region(
            value="tongue",
            zone="intraoral",
            say=("tongue",),
            subsites=(Subsite(value="dorsum", say=("top",), alone=("top of the tongue",)),),
        ),
    ),
    terms={
        Slot.KIND: (Term(value="haematoma", say=("haematoma", "hematoma")),),
        Slot.COLOUR: (Term(value="grey", say=("grey", "gray")), Term(value="red", say=("red",))),
        Slot.SYMPTOM: (Term(value="pain", say=("pain", "sore")),),
        Slot.NODE_LEVEL: (Term(value="IB", say=("level one b",)),),
    },
    commands=(),
    confusions=(),
    phrases=(),
)


@pytest.mark.parametrize(
    ("field", "text", "value"),
    [
        ("size_mm", "12 x 8 mm", [12.0, 8.0]),
        ("size_mm", "12x8", [12.0, 8.0]),
        ("size_mm", "12 by 8 by 4", [12.0, 8.0, 4.0]),
        ("size_mm", "12, 8", [12.0, 8.0]),
        ("size_mm", "1.5 cm", [15.0]),
        ("size_mm", "12 × 8", [12.0, 8.0]),
        ("size_mm", "", []),
        ("duration_days", "21", 21),
        ("duration_days", "3 weeks", 21),
        ("duration_days", "1 month", 30),
        ("duration_days", "2 Fortnights", 28),
        ("count", "3", 3),
        ("count", " ", None),
        ("tender", "no", False),
        ("tender", "Y", True),
        ("wipes_off", "", None),
        ("side", "Left", "left"),
        ("region", "Tongue", "tongue"),
        ("subsite", "top of the tongue", "dorsum"),
        ("kind", "hematoma", "haematoma"),
        ("kind", "odd lump", "odd lump"),
        ("colours", "gray, red,", ["grey", "red"]),
        ("symptoms", "sore", ["pain"]),
        ("denied_symptoms", "pain", ["pain"]),
        ("node_level", "ib", "IB"),
        ("note", "  two   words ", "two words"),
    ],
)
def test_typed_text_becomes_a_value(field: str, text: str, value: FieldValue) -> None:
    assert parse_field(field, text, LEXICON) == value


@pytest.mark.parametrize(
    ("field", "text"),
    [
        ("size_mm", "about ten"),
        ("size_mm", "12 x"),
        ("size_mm", "12 8"),
        ("size_mm", "12 inches"),
        ("size_mm", "1,5 cm x"),
        ("size_mm", "-3"),
        ("size_mm", "1e3"),
        ("duration_days", "three weeks"),
        ("duration_days", "2 minutes"),
        ("duration_days", "1.5 weeks"),
        ("count", "-1"),
        ("count", "1000"),
        ("tender", "maybe"),
        ("side", "lift"),
        ("region", "elbow"),
        ("subsite", "elbow"),
        ("node_level", "IX"),
        ("normal_variant", "sixth finger"),
        ("note", "red\x1b[31m"),
        ("note", "a\u202eb"),
        ("note", "x" * 501),
        ("shape", "round"),
    ],
)
def test_text_that_does_not_read_one_way_is_refused_in_a_line(field: str, text: str) -> None:
    with pytest.raises(ExamError) as caught:
        parse_field(field, text, LEXICON)
    assert str(caught.value)
    assert "\n" not in str(caught.value)


def test_every_field_takes_an_empty_text() -> None:
    empty = {name: parse_field(name, "", LEXICON) for name in FIELD_NAMES}
    assert FindingFields.model_validate(empty) == FindingFields()
