"""Two lesions, two sides, two times, two figures: kept apart, or asked about.

Truths are common practice, no source.
"""

from __future__ import annotations

import pytest

from dictate.exam.commands import AddDetail, AddFinding, MarkRegion, NextRegion
from tests.matching_helpers import AFTER_ULCER, doubted, found, marks, read


def test_each_level_that_is_described_is_a_node_of_its_own() -> None:
    reading = read("Level one b right, firm, ten millimetres, level four left, eight millimetres")
    node = {"region": "lymph nodes", "kind": "lymph node"}
    assert found(reading) == [
        {**node, "side": "right", "node_level": "IB", "size_mm": [10.0], "consistency": ["firm"]},
        {**node, "side": "left", "node_level": "IV", "size_mm": [8.0]},
    ]
    assert doubted(reading) == [set(), set()]


def test_a_side_said_of_one_level_is_asked_of_the_other() -> None:
    reading = read("Left level two, ten millimetres, level four, eight millimetres")
    assert [each.get("side") for each in found(reading)] == ["left", None]
    assert doubted(reading) == [set(), {"side"}]


@pytest.mark.parametrize(
    ("text", "mark", "side"),
    [
        ("No ulcer on the right buccal mucosa, ulcer on the left", "right", "left"),
        ("No plaque on the left buccal mucosa, but an ulcer on the right", "left", "right"),
    ],
)
def test_what_is_denied_has_its_own_side(text: str, mark: str, side: str) -> None:
    reading = read(text)
    assert marks(reading) == [("buccal mucosa", "inspected", mark)]
    assert found(reading) == [{"region": "buccal mucosa", "side": side, "kind": "ulcer"}]
    assert doubted(reading) == [set()]


def test_a_denied_lesion_without_a_region_leaves_its_side_to_nobody() -> None:
    reading = read("No ulcer on the right, ulcer on the left")
    assert found(reading) == [{"side": "left", "kind": "ulcer"}]
    assert "region" in doubted(reading)[0]
    assert reading.not_understood == ("no ulcer on the right",)


def test_the_part_in_health_is_asked_of_the_other_side() -> None:
    reading = read("No ulcer on the right lateral tongue, ulcer on the left")
    (finding,) = found(reading)
    assert (finding["subsite"], finding["side"]) == ("lateral border", "left")
    assert doubted(reading) == [{"subsite"}]


@pytest.mark.parametrize(
    "text",
    [
        "white plaque, left buccal mucosa, was six, now nine",
        "white plaque, left buccal mucosa, was six millimetres, now nine",
        "white plaque, left buccal mucosa, now nine millimetres, was six",
        "white plaque, left buccal mucosa, six millimetres last time, nine millimetres now",
    ],
)
def test_of_two_times_that_of_today_is_taken_and_asked_about(text: str) -> None:
    (finding,) = (each for each in read(text).commands if isinstance(each, AddFinding))
    assert finding.fields.size_mm == (9.0,)
    plain = text.count("millimetres") == 2 and "last time" not in text
    assert ("size_mm" in {doubt.field for doubt in finding.needs_review}) != plain
    offered = [each.value for each in finding.alternatives if each.field == "size_mm"]
    assert offered == [[6.0]]


def test_then_and_now_without_a_lesion_is_of_the_finding_before() -> None:
    (detail,) = read("was six, now nine", AFTER_ULCER).commands
    assert isinstance(detail, AddDetail)
    assert detail.fields.size_mm == (9.0,)
    assert {doubt.field for doubt in detail.needs_review} == {"size_mm"}


def test_a_pause_inside_a_figure_is_asked_about() -> None:
    assert doubted(read("twenty, two millimetres, ulcer, left buccal mucosa")) == [{"size_mm"}]
    assert doubted(read("twenty two millimetres, ulcer, left buccal mucosa")) == [set()]
    assert doubted(read("ten, by six millimetres, ulcer, left buccal mucosa")) == [set()]


@pytest.mark.parametrize(
    ("text", "size"),
    [
        ("white plaque, left cheek, two into three centimetres", [20.0, 30.0]),
        ("white plaque, left cheek, 2 into 3 cm", [20.0, 30.0]),
        ("ulcer, left cheek, growing five millimetres into three folds", [5.0]),
    ],
)
def test_into_joins_two_dimensions_before_their_unit_only(text: str, size: list[float]) -> None:
    (finding,) = found(read(text))
    assert finding["size_mm"] == size


def test_the_wing_of_the_nose_is_not_the_nostril() -> None:
    for text in ("left nasal ala, papule", "papule, ala of the nose, left"):
        assert found(read(text))[0]["subsite"] == "nasal ala"
    assert found(read("left nostril, papule"))[0]["subsite"] == "nostril"


def test_a_name_for_two_regions_is_of_both_in_health_and_asked_of_a_lesion() -> None:
    reading = read("salivary glands normal")
    glands = ("parotid gland", "submandibular gland")
    assert marks(reading) == [(gland, "normal", None) for gland in glands]
    assert not any(each.doubt for each in reading.commands if isinstance(each, MarkRegion))
    assert doubted(read("left salivary gland, firm swelling")) == [{"region"}]


def test_next_alone_is_said_to_people_too() -> None:
    """It would move the place that what is said next belongs to."""
    for text in ("Next, please.", "Next.", "Next patient, please."):
        assert read(text).commands == (), text
    assert read("Next region, please.").commands == (NextRegion(),)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (
            "Parotids symmetric. Right tail, mass, firm.",
            {"region": "parotid gland", "subsite": "parotid tail", "side": "right"},
        ),
        (
            "firm, jugulodigastric, right, node",
            {"region": "lymph nodes", "subsite": "jugulodigastric", "side": "right"},
        ),
        (
            "mucocele, lower lip, a centimetre to the left of the midline",
            {"region": "lips", "subsite": "lower lip", "side": "left"},
        ),
        (
            "The ulcer does not extend onto the gum, it is on the left lateral tongue",
            {"region": "tongue", "subsite": "lateral border", "side": "left"},
        ),
        (
            "white patch on the left border of her tongue",
            {"region": "tongue", "subsite": "lateral border", "side": "left"},
        ),
        (
            "next to the parotid papilla, inside the right cheek, a polyp",
            {"region": "buccal mucosa", "side": "right", "kind": "polyp"},
        ),
    ],
)
def test_one_lesion_at_one_place(text: str, expected: dict[str, str]) -> None:
    reading = read(text)
    (finding,) = found(reading)
    assert {name: finding.get(name) for name in expected} == expected
    assert "size_mm" not in finding
    assert not doubted(reading)[0] & {"region", "side"}


def test_sentences_that_say_where_and_what_are_read_each_for_itself() -> None:
    reading = read("Upper gingiva, recession on the right; lower gingiva, recession on the left.")
    assert [(each["subsite"], each["side"]) for each in found(reading)] == [
        ("maxillary", "right"),
        ("mandibular", "left"),
    ]
    assert doubted(reading) == [set(), set()]
    assert len(found(read("Left buccal mucosa. White plaque. Ten millimetres."))) == 1


def test_same_size_is_that_of_the_finding_before() -> None:
    reading = read("papule, right lower lip, three millimetres, papule, left lower lip, same size")
    assert [each["size_mm"] for each in found(reading)] == [[3.0], [3.0]]
    assert doubted(reading) == [set(), set()]
    later = read("ulcer on the right lateral tongue, same size", AFTER_ULCER)
    assert found(later)[0]["size_mm"] == [12.0]
    assert doubted(later) == [{"size_mm"}]


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("ulcer, left floor of mouth, that was eight millimetres in March", "size_mm"),
        ("the ulcer on the left floor of mouth, eight millimetres, has healed", "size_mm"),
        ("ulcer right at the back of the hard palate, four millimetres", "side"),
        ("right zarf cheek, papule, four millimetres", "subsite"),
        ("epulis, gum, after extraction of the upper left canine, four millimetres", "subsite"),
    ],
)
def test_what_may_be_of_another_time_or_place_is_asked(text: str, name: str) -> None:
    assert name in doubted(read(text))[0]


def test_both_after_two_sides_is_of_both_findings() -> None:
    reading = read(
        "The right submandibular node is two centimetres and the left one is one centimetre, "
        "both soft and mobile."
    )
    assert [(each["side"], each["size_mm"]) for each in found(reading)] == [
        ("right", [20.0]),
        ("left", [10.0]),
    ]
    assert all(each["consistency"] == ["soft"] for each in found(reading))
    assert found(read("masseters both tender"))[0]["side"] == "bilateral"


def test_health_with_words_not_understood_or_beside_a_lesion_is_not_all_health() -> None:
    (mark,) = read("left buccal mucosa, zarfices, otherwise normal").commands
    assert isinstance(mark, MarkRegion)
    assert mark.doubt
    reading = read("ventral tongue, bilateral varices, otherwise normal")
    assert [each["normal_variant"] for each in found(reading)] == ["varicosities"]
    reading = read("ulcer on the left lateral tongue, none on the right")
    assert marks(reading) == [("tongue", "inspected", "right")]


def test_no_after_a_question_takes_nothing_back() -> None:
    reading = read("lump, left parotid, sixteen millimetres, does that hurt, no, non tender")
    assert doubted(reading) == [set()]
    assert found(reading)[0]["tender"] is False


def test_what_is_not_felt_is_not_there() -> None:
    assert found(read("I cannot feel any lumps in either parotid")) == []


@pytest.mark.parametrize(
    ("text", "side", "asked"),
    [
        ("Cheek opposite the upper right seven, white plaque", "right", False),
        ("Floor of mouth, lingual to the lower left four and five, swelling", "left", False),
        ("Buccal mucosa opposite tooth three six, white patch", "left", False),
        ("Ulcer on the floor of mouth after extraction of the lower left molar", "left", True),
    ],
)
def test_a_tooth_tells_the_side_where_it_tells_the_place(text: str, side: str, asked: bool) -> None:
    # Tooth 36 is in the lower left quadrant: ISO 3950.
    reading = read(text)
    (finding,) = found(reading)
    assert finding["side"] == side
    assert ("side" in doubted(reading)[0]) == asked


def test_a_tooth_tells_the_jaw_on_the_gum() -> None:
    plain = read("recession, four millimetres, lower right five, buccal")
    assert found(plain)[0]["subsite"] == "mandibular buccal"
    assert found(plain)[0]["side"] == "right"
    assert doubted(plain) == [{"subsite"}]
    after = read("gum, epulis, after extraction of the lower right five")
    assert {"side", "subsite"} <= doubted(after)[0]


@pytest.mark.parametrize(
    "text",
    [
        "One centimetre above the right clavicle, a node, eight millimetres",
        "Soft palate, a centimetre to the right of the uvula, a vesicle, eight millimetres",
        "Two finger breadths below the right angle of the jaw, a node, eight millimetres",
        "Right ear, helix, at two o'clock, a lesion, eight millimetres",
        "Interdental papilla between the upper right one and two, a nodule, eight millimetres",
    ],
)
def test_distances_clock_times_and_teeth_are_no_sizes(text: str) -> None:
    reading = read(text)
    (finding,) = found(reading)
    assert finding["size_mm"] == [8.0]
    assert finding["side"] == "right"
    assert finding.get("count", 1) == 1
    assert "size_mm" not in doubted(reading)[0]


def test_two_of_them_with_a_size_each_are_two_findings() -> None:
    reading = read("Left level three, two nodes, one fifteen millimetres, the other eight")
    assert len(found(reading)) == 1  # No unit after "eight": one finding, and asked.
    assert "size_mm" in doubted(reading)[0]
    reading = read("Left level three, two nodes, one 15 millimetres, the other 8 millimetres")
    assert [each["size_mm"] for each in found(reading)] == [[15.0], [8.0]]
    assert {(each["side"], each["node_level"]) for each in found(reading)} == {("left", "III")}


def test_no_nodes_in_the_neck_is_of_the_nodes() -> None:
    assert marks(read("left neck, no nodes")) == [("lymph nodes", "normal", "left")]
    assert marks(read("jugulodigastric nodes not enlarged")) == [("lymph nodes", "palpated", None)]


def test_words_to_somebody_around_a_finding_are_put_aside_and_the_finding_is_asked() -> None:
    reading = read("Keep your head turned to the right, lovely, left neck, lump, two centimetres")
    (finding,) = found(reading)
    assert (finding["region"], finding["side"], finding["size_mm"]) == ("neck", "left", [20.0])
    assert "kind" in doubted(reading)[0]
    assert "keep your head turned to the right" in reading.not_understood
    for talk in (
        "On my left, white patch of the cheek",
        "Some people get ulcers on the left cheek, it is nothing to worry about",
        "We are looking for lumps, ulcers, red or white patches",
    ):
        assert read(talk).commands == ()


def test_a_side_left_over_is_asked_about() -> None:
    reading = read("ulcer, left floor of mouth, opposite the lower right molar, four millimetres")
    assert "side" in doubted(reading)[0]
