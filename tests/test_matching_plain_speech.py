"""Turns of ordinary dictation: taken as a clinician means them, or asked about.

Meanings are common practice, no source; teeth follow ISO 3950.
"""

from __future__ import annotations

from typing import Any

import pytest

from dictate.exam.commands import MarkRegion
from tests.matching_helpers import AFTER_ULCER, doubted, found, marks, read

TONGUE_LEFT: dict[str, Any] = {"region": "tongue", "side": "left"}

PLAIN: list[tuple[str, dict[str, Any]]] = [
    (
        "the incisive papilla is swollen and tender, five millimetres",
        {
            "region": "hard palate",
            "side": "midline",
            "kind": "swelling",
            "tender": True,
            "size_mm": [5.0],
        },
    ),
    (
        "foliate papillae on the right are red and swollen",
        {
            "region": "tongue",
            "subsite": "posterior lateral border",
            "side": "right",
            "kind": "swelling",
            "colours": ["red"],
        },
    ),
    (
        "erythema of the gingival margin, upper and lower, both sides",
        {
            "region": "gingiva",
            "subsite": "gingival margin",
            "side": "bilateral",
            "kind": "erythema",
        },
    ),
    (
        "sinus tract on the gingiva, upper left, buccally",
        {
            "region": "gingiva",
            "subsite": "maxillary buccal",
            "side": "left",
            "kind": "sinus tract",
        },
    ),
    (
        "white striae on both buccal mucosae, do not rub off",
        {
            "region": "buccal mucosa",
            "side": "bilateral",
            "kind": "lichen-like striae",
            "colours": ["white"],
            "wipes_off": False,
        },
    ),
    (
        "white plaque, left lateral tongue, fifteen millimetres in length, five in width",
        TONGUE_LEFT | {"kind": "plaque", "size_mm": [15.0, 5.0]},
    ),
    (
        "ulcers, left ventral tongue, three of them, each two millimetres",
        TONGUE_LEFT | {"kind": "ulcer", "count": 3, "size_mm": [2.0]},
    ),
    (
        "leukoplakia, buccal mucosa on the left, posterior part",
        {"region": "buccal mucosa", "subsite": "posterior buccal mucosa", "side": "left"},
    ),
    (
        "pus expressed from the right parotid duct opening, swollen",
        {"region": "buccal mucosa", "subsite": "parotid duct opening", "side": "right"},
    ),
    (
        "multiple scattered papules, left ventral tongue",
        TONGUE_LEFT | {"distribution": "scattered"},
    ),
]


@pytest.mark.parametrize(("text", "meant"), PLAIN)
def test_it_is_read_and_not_asked(text: str, meant: dict[str, Any]) -> None:
    reading = read(text)
    (finding,) = found(reading)
    assert {name: finding.get(name) for name in meant} == meant
    assert doubted(reading) == [set()]


@pytest.mark.parametrize(
    ("text", "subsite", "side"),
    [
        ("gingiva buccal to thirty six, epulis, eight millimetres", "mandibular buccal", "left"),
        ("gingiva, lingual to tooth four six, ulcer", "mandibular lingual", "right"),
        (
            "ulcer on the gingiva palatal to two four, three millimetres",
            "maxillary palatal",
            "left",
        ),
    ],
)
def test_a_tooth_that_the_gum_is_named_by_is_no_count(text: str, subsite: str, side: str) -> None:
    reading = read(text)
    (finding,) = found(reading)
    assert finding["subsite"] == subsite
    assert finding["side"] == side
    assert finding.get("count") in (None, 1)
    assert "subsite" in doubted(reading)[0]


def test_a_side_of_the_ridge_is_not_of_the_gum() -> None:
    reading = read("exostosis on the buccal side of the left maxillary ridge")
    (finding,) = found(reading)
    assert finding["region"] == "alveolar ridge"
    assert "subsite" in doubted(reading)[0]


@pytest.mark.parametrize(
    ("text", "region", "side", "reason"),
    [
        ("left tonsil not seen", "oropharynx", "left", None),
        ("oropharynx not seen because of the gag reflex", "oropharynx", None, "gag reflex"),
        (
            "unable to view the soft palate, limited opening",
            "soft palate",
            None,
            "limited mouth opening",
        ),
        ("couldn't get a look at the oropharynx, gagging", "oropharynx", None, "gag reflex"),
    ],
)
def test_what_was_not_seen_was_not_examined(
    text: str, region: str, side: str | None, reason: str | None
) -> None:
    (mark,) = read(text).commands
    assert isinstance(mark, MarkRegion)
    assert (mark.region, mark.state, mark.side) == (region, "not_examined", side)
    assert mark.reason == reason


def test_what_was_looked_for_and_not_seen_is_no_finding() -> None:
    reading = read("I have not seen any ulcers on the tongue")
    assert found(reading) == []
    assert marks(reading) == [("tongue", "inspected", None)]


@pytest.mark.parametrize(
    ("text", "days"),
    [
        ("six week follow-up of the ulcer, right floor of mouth", None),
        ("white patch, left buccal mucosa, review in three months", None),
        ("white patch, left buccal mucosa, recall six months", None),
        ("white patch, left buccal mucosa, for six weeks", 42),
        ("white patch, left buccal mucosa, six weeks, review", 42),
    ],
)
def test_the_time_to_a_visit_is_not_how_long_it_has_been_there(text: str, days: int | None) -> None:
    (finding,) = found(read(text))
    assert finding.get("duration_days") == days


def test_two_levels_are_two_levels_and_no_size() -> None:
    reading = read("matted nodes, right level four and five")
    assert [(each["side"], each["node_level"]) for each in found(reading)] == [
        ("right", "IV"),
        ("right", "V"),
    ]
    assert doubted(reading) == [set(), set()]
    assert "node_level" in doubted(read("right level two and three nodes, firm"))[0]


def test_what_should_be_another_side_is_that_side_and_asked() -> None:
    reading = read("fibroma on the left buccal mucosa, that should be the right, five millimetres")
    (finding,) = found(reading)
    assert finding["side"] == "right"
    assert doubted(reading) == [{"side"}]


def test_where_it_spreads_to_is_no_second_place() -> None:
    reading = read("leukoplakia on the left ventral tongue extending down to the floor of mouth")
    assert [each["region"] for each in found(reading)] == ["tongue"]
    assert doubted(reading) == [set()]


def test_the_level_of_a_part_of_the_place_is_that_part() -> None:
    (finding,) = found(read("left buccal mucosa, at the level of the occlusal plane, keratosis"))
    assert finding["subsite"] == "occlusal line"


def test_how_far_from_the_midline_is_no_size() -> None:
    text = "lower lip, right of the midline by five millimetres, crust, four millimetres"
    reading = read(text)
    assert found(reading)[0]["size_mm"] == [4.0]
    assert doubted(reading) == [set()]
    crossing = (
        "mass, right tongue base, thirty millimetres, crossing the midline by five millimetres"
    )
    assert {"side", "size_mm"} <= doubted(read(crossing))[0]


def test_a_tooth_may_be_named_side_first() -> None:
    (finding,) = found(read("opposite the right upper molars in the cheek, ulcer"))
    assert (finding["region"], finding["side"]) == ("buccal mucosa", "right")


def test_one_correction_in_many_words_changes_one_thing() -> None:
    reading = read("red patch, actually it's more of a plaque, left floor of mouth")
    assert found(reading)[0]["kind"] == "plaque"
    assert doubted(reading) == [{"kind"}]


@pytest.mark.parametrize("text", ["bleeds easily when I touch it", "sore when I press on it"])
def test_what_happens_on_touch_is_of_the_finding(text: str) -> None:
    assert len(read(text, AFTER_ULCER).commands) == 1


@pytest.mark.parametrize(
    "text",
    [
        "mandibular left retromolar area, mass, twenty millimetres",
        "behind the last molar on the lower left, mass, twenty millimetres",
    ],
)
def test_the_jaw_of_a_region_that_has_but_one_adds_nothing(text: str) -> None:
    reading = read(text)
    assert found(reading)[0]["region"] == "retromolar area"
    assert doubted(reading) == [set()]


@pytest.mark.parametrize(
    "text",
    [
        "upper left retromolar area, mass, twenty millimetres",
        "left retromolar pad, lower left buccal sulcus, mass, twenty millimetres",
    ],
)
def test_the_other_jaw_or_a_part_of_another_place_is_asked(text: str) -> None:
    assert "region" in doubted(read(text))[0]


def test_a_size_of_now_is_not_asked_for_a_word_of_earlier() -> None:
    now = read("ulcer, left ventral tongue, same place as before, now four millimetres")
    assert doubted(now) == [set()]
    then = read("ulcer, left ventral tongue, four millimetres before")
    assert "size_mm" in doubted(then)[0]


def test_the_socket_lies_where_the_tooth_was() -> None:
    reading = read("extraction socket upper right six, not healing")
    assert found(reading)[0]["side"] == "right"
    assert "side" not in doubted(reading)[0]


@pytest.mark.parametrize(
    "text", ["left it at that, soft palate deferred", "soft palate left alone"]
)
def test_the_verb_left_is_no_side(text: str) -> None:
    """Common practice, no source."""
    assert all(side is None for _, _, side in marks(read(text)))
    assert not found(read(text))


@pytest.mark.parametrize(
    ("text", "region", "subsite"),
    [
        ("ulcer on the upper lip, right", "lips", "upper lip"),
        (
            "ulcer, soft palate, right, where it joins the hard palate",
            "soft palate",
            "palate junction",
        ),
    ],
)
def test_what_is_said_after_a_place_may_be_a_part_of_it(
    text: str, region: str, subsite: str
) -> None:
    """Common practice, no source."""
    (finding,) = found(read(text))
    assert (finding["region"], finding["subsite"], finding["side"]) == (region, subsite, "right")


@pytest.mark.parametrize(
    "text", ["fibroma, lower lip inside, right of midline, pink", "lower lip inside, ulcer, right"]
)
def test_the_lip_inside_is_asked_about(text: str) -> None:
    """The lip or its lining? Common practice, no source."""
    assert all("region" in fields for fields in doubted(read(text)))
