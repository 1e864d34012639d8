"""What one breath holds beside a finding: health, lists, headings, measures of other things.

Truths are common practice, no source.
"""

from __future__ import annotations

import pytest

from dictate.exam.commands import MarkRegion
from tests.matching_helpers import doubted, found, marks, read


@pytest.mark.parametrize(
    "text",
    [
        "Hard palate normal but for a two millimetre ulcer on the left",
        "Hard palate normal, ulcer on the left of the hard palate",
    ],
)
def test_no_region_is_healthy_that_holds_a_lesion(text: str) -> None:
    reading = read(text)
    assert ("hard palate", "normal", None) not in marks(reading)
    assert found(reading)[0]["side"] == "left"


def test_the_other_side_of_a_lesion_may_be_healthy() -> None:
    reading = read("Ulcer on the right of the tongue, left normal")
    assert marks(reading) == [("tongue", "normal", "left")]


def test_a_heading_gives_its_side_to_all_and_a_first_side_is_asked_of_the_rest() -> None:
    headed = read("Left side, cheek and floor of mouth normal")
    assert marks(headed) == [
        ("buccal mucosa", "normal", "left"),
        ("floor of mouth", "normal", "left"),
    ]
    unsure = [each for each in read("Left cheek, floor of mouth normal").commands if each != headed]
    assert [bool(each.doubt) for each in unsure if isinstance(each, MarkRegion)] == [False, True]


def test_what_ails_after_a_but_is_not_in_health() -> None:
    reading = read("Nothing on the hard palate, but the back of the throat is red")
    assert marks(reading) == [("hard palate", "normal", None)]
    (finding,) = found(reading)
    assert (finding["region"], finding["colours"]) == ("oropharynx", ["red"])
    assert {"kind", "side"} <= doubted(reading)[0]


@pytest.mark.parametrize(
    "text",
    [
        "erosions of the left and right lateral tongue, seven and four millimetres respectively",
        "nodes at levels two and three on the left, fifteen and ten millimetres respectively",
    ],
)
def test_respectively_is_asked_about(text: str) -> None:
    assert all({"side", "size_mm"} <= each for each in doubted(read(text)))


@pytest.mark.parametrize(
    "text",
    [
        "mouth opens only eighteen millimetres, right jaw joint tender",
        "two centimetres of zarf, and an ulcer on the left lower lip",
    ],
)
def test_what_was_measured_of_something_else_is_asked(text: str) -> None:
    for finding, asked in zip(found(read(text)), doubted(read(text)), strict=True):
        assert "size_mm" not in finding or "size_mm" in asked


def test_a_part_right_before_a_lesion_is_of_that_lesion() -> None:
    reading = read(
        "Swelling of the right soft palate, three centimetres, uvula deviated to the left"
    )
    swelling, deviation = found(reading)
    assert swelling == {
        **{"region": "soft palate", "side": "right", "kind": "swelling"},
        "size_mm": [30.0],
    }
    assert deviation["subsite"] == "uvula"


def test_a_list_under_a_plural_is_of_that_lesion() -> None:
    reading = read(
        "Ulcers: right buccal mucosa, four millimetres; left buccal mucosa, six millimetres; "
        "soft palate, midline, three millimetres."
    )
    assert [each["kind"] for each in found(reading)] == ["ulcer"] * 3
    assert [each["size_mm"] for each in found(reading)] == [[4.0], [6.0], [3.0]]


def test_both_halves_are_the_whole() -> None:
    (finding,) = found(read("Erosions on the gums, upper and lower, both sides"))
    assert finding == {"region": "gingiva", "side": "bilateral", "kind": "erosion"}


def test_no_it_is_names_the_lesion_anew() -> None:
    reading = read("Left submandibular swelling, no it is a node, two centimetres")
    (finding,) = found(reading)
    assert (finding["kind"], finding["side"]) == ("lymph node", "left")
    assert "kind" in doubted(reading)[0]


def test_the_side_of_a_landmark_is_offered_and_asked() -> None:
    reading = read("scalp laceration, three centimetres, above the right ear")
    assert found(reading)[0]["side"] == "right"
    assert "side" in doubted(reading)[0]


def test_ages_and_labels_are_no_times_or_sizes() -> None:
    reading = read("Photo two, fifty year old man, swelling of the left parotid, 15 millimetres")
    (finding,) = found(reading)
    assert "duration_days" not in finding
    assert doubted(reading) == [set()]


@pytest.mark.parametrize(
    "text",
    [
        "I had a patient with a ranula the size of a golf ball, on the left it was",
        "So on the mannequin, find me the jugulodigastric node on the left",
        "Two centimetres of tape, please, and a plaster for his chin",
    ],
)
def test_talk_of_others_records_nothing(text: str) -> None:
    assert read(text).commands == ()
