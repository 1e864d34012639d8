"""What several lesions of one breath have is kept apart; what is no second lesion is none.

Meanings are common practice, no source.
"""

from __future__ import annotations

import pytest

from dictate.exam.finding import FindingFields
from dictate.matching.reading import Context
from tests.matching_helpers import AFTER_ULCER, detail, doubted, found, read


def test_a_muscle_with_a_side_of_its_own_is_a_finding_of_its_own() -> None:
    reading = read("TMJ click on the right, masseter tenderness on the left")
    click, muscle = found(reading)
    assert (click["kind"], click["side"], click.get("subsite")) == ("click", "right", None)
    assert (muscle["subsite"], muscle["side"], muscle["tender"]) == ("masseter", "left", True)


def test_what_only_announces_two_lesions_is_none_of_them() -> None:
    reading = read(
        "two lesions on the tongue: one on the left lateral border, ulcer, five millimetres,"
        " the other on the dorsum, midline, red patch, ten millimetres"
    )
    assert [(each["kind"], each["subsite"]) for each in found(reading)] == [
        ("ulcer", "lateral border"),
        ("patch", "dorsum"),
    ]
    assert doubted(reading) == [set(), set()]
    (counted,) = found(read("two lesions on the left cheek, firm, five millimetres"))
    assert counted["count"] == 2


def test_a_word_for_a_part_that_fits_no_place_is_asked() -> None:
    assert "subsite" in doubted(read("neck, back of, left, cyst, fifteen millimetres"))[0]


def test_a_name_that_says_where_needs_no_place() -> None:
    reading = read("cheek biting on the right")
    assert found(reading)[0]["region"] == "buccal mucosa"
    assert doubted(reading) == [set()]
    assert "region" in doubted(read("lip biting on the left"))[0]


@pytest.mark.parametrize(
    ("text", "kind", "asked"),
    [
        ("lump in the left cheek, fourteen millimetres, soft, lobulated, lipoma", "lump", {"kind"}),
        (
            "hard lump in the right floor of mouth, probably a stone, five millimetres",
            "lump",
            set(),
        ),
        ("cold sore on the upper lip, right, crusting, five days", "herpetic lesion", {"kind"}),
    ],
)
def test_what_it_is_taken_to_be_is_no_second_lesion(text: str, kind: str, asked: set[str]) -> None:
    reading = read(text)
    (finding,) = found(reading)
    assert finding["kind"] == kind
    assert doubted(reading) == [asked]


@pytest.mark.parametrize(
    "text",
    [
        "nodule on the left lower lip, five millimetres, firm, and a fibroma",
        "nodule on the left lower lip, five millimetres, firm, fibroma, three millimetres",
        "nodule on the left lower lip, five millimetres, fibroma on the right",
        "white patch on the left lateral tongue, ulcer, four millimetres",
        "papule on the left lower lip, three millimetres. Fibroma.",
    ],
)
def test_what_may_be_a_second_lesion_is_one_and_asked(text: str) -> None:
    reading = read(text)
    assert len(found(reading)) == 2
    assert all(doubts & {"region", "side", "size_mm"} for doubts in doubted(reading))


Where = tuple[str, str | None, list[float] | None]


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        (
            "uvula deviates to the left, and right tonsillar fossa, red area, fifteen millimetres",
            [("soft palate", "left", None), ("oropharynx", "right", [15.0])],
        ),
        (
            "ulcer, left buccal mucosa, firm, two centimetre left level three node",
            [("buccal mucosa", "left", None), ("lymph nodes", "left", [20.0])],
        ),
        (
            "lump in the right cheek, soft, eleven millimetre nodes, mobile, jugulodigastric, left",
            [("buccal mucosa", "right", None), ("lymph nodes", "left", [11.0])],
        ),
        (
            "macule, left side, hard palate, left side of the uvula, papilloma, two millimetres",
            [("hard palate", "left", None), ("soft palate", "left", [2.0])],
        ),
        (
            "lump in the right floor of mouth, probably a stone, five millimetres, "
            "uvula deviates to the left",
            [("floor of mouth", "right", [5.0]), ("soft palate", "left", None)],
        ),
    ],
)
def test_what_two_lesions_have_is_kept_apart(text: str, meant: list[Where]) -> None:
    reading = read(text)
    got = [(each["region"], each.get("side"), each.get("size_mm")) for each in found(reading)]
    assert got == meant


def test_the_part_before_a_side_is_of_the_place_after_it() -> None:
    reading = read("bump, right upper gum, upper left palatal gingiva, swelling")
    assert [each["subsite"] for each in found(reading)] == ["maxillary", "maxillary palatal"]


@pytest.mark.parametrize(
    "text",
    [
        "She's had that tooth out on the right last year.",
        "We use a white plaster for that, about two centimetres.",
    ],
)
def test_talk_of_teeth_and_plasters_records_nothing(text: str) -> None:
    assert read(text, AFTER_ULCER).kind == "ignored"


def test_a_symptom_of_the_lip_with_a_side_is_at_the_lip() -> None:
    (finding,) = found(read("numbness of the lower lip on the left for a month"))
    assert (finding["subsite"], finding["side"]) == ("lower lip", "left")
    assert finding["symptoms"] == ["numbness"]
    (swelling,) = found(read("swelling of the left lower ridge, lower lip numb"))
    assert (swelling["region"], swelling["symptoms"]) == ("alveolar ridge", ["numbness"])


def test_a_part_between_two_sides_is_asked_with_them() -> None:
    reading = read("TMJ click on the right masseter tenderness on the left")
    assert {"side", "subsite"} <= doubted(reading)[0]


def test_a_lump_where_nodes_lie_may_be_no_node() -> None:
    lump = read("lump just in front of the right ear, twelve millimetres, mobile")
    assert "region" in doubted(lump)[0]
    assert doubted(read("node in front of the right ear, twelve millimetres")) == [set()]


@pytest.mark.parametrize(
    ("text", "region"),
    [
        ("patch, left side of the face by the ear, ten millimetres, flat", "face"),
        ("mass in the left tonsil crossing to the soft palate, ten millimetres", "oropharynx"),
    ],
)
def test_what_it_lies_by_has_no_size_of_its_own(text: str, region: str) -> None:
    reading = read(text)
    (finding,) = found(reading)
    assert (finding["region"], finding["size_mm"]) == (region, [10.0])
    assert doubted(reading) == [set()]


def test_one_lesion_at_two_places_has_its_size_asked() -> None:
    text = "red area involving the right floor of the mouth and ventral tongue, ten millimetres"
    assert all({"region", "size_mm"} <= doubts for doubts in doubted(read(text)))


def test_a_side_told_beside_a_landmark_is_not_lost() -> None:
    last = FindingFields(region="soft palate", kind="ulcer")
    reading = read("it's on the left, near the uvula", Context(region="soft palate", last=last))
    assert detail(reading)["side"] == "left"


@pytest.mark.parametrize("size", ["two by one and a half centimetres", "two by one centimetres"])
def test_the_and_of_a_figure_begins_no_lesion(size: str) -> None:
    reading = read(f"erythroplakia, left soft palate, {size}, uvula deviates to the left")
    first, second = found(reading)
    assert first["size_mm"][0] == 20.0
    assert "size_mm" not in second


def test_half_a_centimetre_is_a_size_of_its_own() -> None:
    reading = read(
        "swelling of the left hard palate, one and a half centimetres, and half a centimetre,"
        " pink, right buccal mucosa, fibroma"
    )
    assert found(reading)[0]["size_mm"] == [15.0]
    (one,) = found(read("ulcer, left hard palate, a centimetre and a half"))
    assert one["size_mm"] == [15.0]


def test_a_part_that_comes_with_another_side_is_asked() -> None:
    reading = read("click in the right jaw joint, left condyle tender, no click")
    assert {"side", "subsite"} <= doubted(reading)[0]
