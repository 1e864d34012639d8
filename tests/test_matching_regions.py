"""Statements about regions: silence is never normal, and a part is not the whole."""

from __future__ import annotations

import pytest

from dictate.exam.commands import AddFinding, MarkRegion
from dictate.matching.reading import Context
from tests.matching_helpers import found, marks, read

Mark = tuple[str, str, str | None]

NORMAL: list[tuple[str, list[Mark]]] = [
    ("tongue within normal limits", [("tongue", "normal", None)]),
    ("Tongue: normal.", [("tongue", "normal", None)]),
    ("the tongue looks normal", [("tongue", "normal", None)]),
    ("normal tongue", [("tongue", "normal", None)]),
    ("right buccal mucosa normal", [("buccal mucosa", "normal", "right")]),
    ("buccal mucosa normal on both sides", [("buccal mucosa", "normal", None)]),
    ("buccal mucosa normal on the left", [("buccal mucosa", "normal", "left")]),
    (
        "lips and labial mucosa normal",
        [("lips", "normal", None), ("labial mucosa", "normal", None)],
    ),
    (
        "lips, labial mucosa and gums are normal",
        [("lips", "normal", None), ("labial mucosa", "normal", None), ("gingiva", "normal", None)],
    ),
    (
        "tongue normal floor of mouth normal hard palate normal",
        [
            ("tongue", "normal", None),
            ("floor of mouth", "normal", None),
            ("hard palate", "normal", None),
        ],
    ),
    ("hard palate, no abnormality detected", [("hard palate", "normal", None)]),
    ("no abnormality of the thyroid", [("thyroid gland", "normal", None)]),
    ("no lymphadenopathy", [("lymph nodes", "normal", None)]),
    ("no palpable nodes on the right", [("lymph nodes", "normal", "right")]),
    ("floor of mouth clear", [("floor of mouth", "normal", None)]),
    ("oropharynx unremarkable", [("oropharynx", "normal", None)]),
]


@pytest.mark.parametrize(("text", "expected"), NORMAL)
def test_regions_pronounced_normal(text: str, expected: list[Mark]) -> None:
    reading = read(text)
    assert marks(reading) == expected
    assert reading.kind == "normal"
    assert all(each.doubt is None for each in reading.commands if isinstance(each, MarkRegion))


@pytest.mark.parametrize(
    "text",
    [
        "everything else normal",
        "everything else is within normal limits",
        "the rest is normal",
        "otherwise normal",
        "all other regions normal",
        "all normal",
    ],
)
def test_a_sweeping_normal_marks_nothing(text: str) -> None:
    for context in (Context(), Context(region="tongue")):
        reading = read(text, context)
        assert marks(reading) == []
        assert reading.kind == "ignored"
        assert "region" in reading.why


def test_a_normal_without_a_region_is_asked_about() -> None:
    reading = read("no abnormality detected", Context(region="tongue"))
    (mark,) = reading.commands
    assert isinstance(mark, MarkRegion)
    assert (mark.region, mark.state) == ("tongue", "normal")
    assert mark.doubt
    assert read("no abnormality detected").kind == "ignored"


@pytest.mark.parametrize(
    "text", ["dorsum of the tongue normal", "left lateral border of the tongue normal"]
)
def test_a_normal_part_is_no_normal_region(text: str) -> None:
    ((region, state, _),) = marks(read(text))
    assert (region, state) == ("tongue", "inspected")


def test_a_region_normal_but_for_a_lesion_is_not_normal() -> None:
    reading = read("tongue normal apart from a white plaque on the left lateral border")
    assert marks(reading) == [("tongue", "inspected", None)]
    (finding,) = found(reading)
    assert (finding["subsite"], finding["side"]) == ("lateral border", "left")


def test_a_region_normal_but_tender_is_asked_about() -> None:
    (mark,) = read("tongue normal, tender").commands
    assert isinstance(mark, MarkRegion)
    assert mark.state != "normal"
    assert "tender" in (mark.doubt or "")


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("floor of mouth soft, no lumps", ("floor of mouth", "palpated", None)),
        ("left parotid soft and non tender", ("parotid gland", "palpated", "left")),
        ("floor of mouth palpated", ("floor of mouth", "palpated", None)),
        ("tongue inspected", ("tongue", "inspected", None)),
        ("soft palate pink and smooth", ("soft palate", "inspected", None)),
    ],
)
def test_healthy_words_are_no_verdict_of_normal(text: str, expected: Mark) -> None:
    reading = read(text)
    assert marks(reading) == [expected]


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("soft palate not examined", None),
        ("soft palate not examined, patient could not tolerate", "not tolerated"),
        ("soft palate could not be examined because of gagging", "gag reflex"),
        ("soft palate not examined patient declined", "patient declined"),
    ],
)
def test_what_was_not_examined_and_why(text: str, reason: str | None) -> None:
    (mark,) = read(text).commands
    assert isinstance(mark, MarkRegion)
    assert (mark.region, mark.state, mark.reason) == ("soft palate", "not_examined", reason)


def test_normal_and_lesion_in_one_breath() -> None:
    reading = read(
        "left buccal mucosa normal right buccal mucosa white plaque ten by six millimetres"
    )
    assert marks(reading) == [("buccal mucosa", "normal", "left")]
    (finding,) = found(reading)
    assert (finding["side"], finding["kind"]) == ("right", "plaque")


def test_normal_mucosa_beside_a_lesion_marks_nothing() -> None:
    reading = read("ulcer on the right buccal mucosa, surrounding mucosa normal")
    assert marks(reading) == []
    assert len(found(reading)) == 1


def test_a_normal_variant_pronounces_no_region() -> None:
    reading = read("fordyce granules on the left buccal mucosa, a normal variant")
    assert marks(reading) == []
    assert isinstance(reading.commands[0], AddFinding)


def test_a_loose_or_misheard_region_is_asked_about() -> None:
    for text in ("palate normal", "floor of mouse normal"):
        (mark,) = read(text).commands
        assert isinstance(mark, MarkRegion)
        assert mark.doubt


@pytest.mark.parametrize(
    "said",
    [
        "tongue not normal",
        "tongue is not within normal limits",
        "the tongue isn't normal",
        "tongue does not look healthy",
        "tongue not unremarkable",
        "tongue never quite normal",
        "I would not call the tongue normal",
        "not within normal limits, the tongue",
        "no longer normal, the tongue",
        "the tongue used to be normal",
        "there is nothing normal about this tongue",
        "tongue probably normal",
        "tongue may be normal",
    ],
)
def test_health_that_is_denied_is_asked_about_and_never_recorded(said: str) -> None:
    """Common practice, no source."""
    assert all(each.doubt for each in read(said).commands if isinstance(each, MarkRegion))
    assert ("tongue", "normal", None) not in marks(read(said))


@pytest.mark.parametrize(
    "said",
    ["tongue not tender, normal", "lips not examined, tongue normal", "no lumps, tongue normal"],
)
def test_a_no_to_something_else_leaves_health_as_said(said: str) -> None:
    assert ("tongue", "normal", None) in marks(read(said))


def test_within_normal_limits_is_known_as_it_is_misheard() -> None:
    assert marks(read("face with a normal limits")) == [("face", "normal", None)]
