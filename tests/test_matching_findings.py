"""Dictated sentences and the findings that a clinician means by them.

The sentences are our own, in the wording of the trade; what they mean is common practice.
Region, sub-site and side are checked whole: a field that is not listed must not be recorded.
"""

from __future__ import annotations

from typing import Any

import pytest

from tests.matching_helpers import doubted, found, read, whys

Fields = dict[str, Any]

BUCCAL_L: Fields = {"region": "buccal mucosa", "side": "left"}
BUCCAL_R: Fields = {"region": "buccal mucosa", "side": "right"}
LATERAL_L: Fields = {"region": "tongue", "subsite": "lateral border", "side": "left"}
LATERAL_R: Fields = {"region": "tongue", "subsite": "lateral border", "side": "right"}

PLAIN: list[tuple[str, Fields]] = [
    (
        "left lateral tongue ulcer five millimetres indurated",
        LATERAL_L | {"kind": "ulcer", "size_mm": [5.0], "consistency": ["indurated"]},
    ),
    (
        "White patch, left lateral border of tongue, ten by six millimetres, slightly raised, "
        "indurated, non-tender, present for three weeks.",
        LATERAL_L
        | {
            "kind": "patch",
            "colours": ["white"],
            "size_mm": [10.0, 6.0],
            "surface": ["raised"],
            "consistency": ["indurated"],
            "tender": False,
            "duration_days": 21,
        },
    ),
    (
        "there's a five millimeter ulcer on the right buccal mucosa",
        BUCCAL_R | {"kind": "ulcer", "size_mm": [5.0]},
    ),
    (
        "5mm ulcer... right buccal mucosa",
        BUCCAL_R | {"kind": "ulcer", "size_mm": [5.0]},
    ),
    (
        "I can see a white plaque inside the left cheek about a centimetre across",
        BUCCAL_L | {"kind": "plaque", "colours": ["white"], "size_mm": [10.0]},
    ),
    (
        "nodule on the left lower lip, soft, mobile, bluish, 8 mm, three months",
        {
            "region": "lips",
            "subsite": "lower lip",
            "side": "left",
            "kind": "nodule",
            "consistency": ["soft"],
            "mobility": "mobile",
            "colours": ["blue"],
            "size_mm": [8.0],
            "duration_days": 90,
        },
    ),
    (
        "right hand side of the tongue, a fissured area",
        {"region": "tongue", "side": "right", "kind": "area", "surface": ["fissured"]},
    ),
    (
        "ulcer on the left side of the tongue",
        {"region": "tongue", "side": "left", "kind": "ulcer"},
    ),
    (
        "red patch on the soft palate just left of the midline, eight by five millimetres",
        {
            "region": "soft palate",
            "side": "left",
            "kind": "patch",
            "colours": ["red"],
            "size_mm": [8.0, 5.0],
        },
    ),
    (
        "white lesion on the labial mucosa of the upper lip, midline",
        {
            "region": "labial mucosa",
            "subsite": "upper labial mucosa",
            "side": "midline",
            "kind": "lesion",
            "colours": ["white"],
        },
    ),
    (
        "ulcer lower left gingiva, 3 mm",
        {
            "region": "gingiva",
            "subsite": "mandibular",
            "side": "left",
            "kind": "ulcer",
            "size_mm": [3.0],
        },
    ),
    (
        "left buccal sulcus, upper, abscess, eleven millimetres",
        {
            "region": "buccal mucosa",
            "subsite": "upper buccal sulcus",
            "side": "left",
            "kind": "abscess",
            "size_mm": [11.0],
        },
    ),
    (
        "sinus tract lower right buccal sulcus",
        {
            "region": "buccal mucosa",
            "subsite": "lower buccal sulcus",
            "side": "right",
            "kind": "sinus tract",
        },
    ),
    (
        "ulcer on the lateral border of the tongue, right, posterior third",
        {
            "region": "tongue",
            "subsite": "posterior lateral border",
            "side": "right",
            "kind": "ulcer",
        },
    ),
    (
        "mole on the right cheek skin, 5 mm, brown, flat",
        {
            "region": "face",
            "subsite": "cheek skin",
            "side": "right",
            "kind": "naevus",
            "size_mm": [5.0],
            "colours": ["brown"],
            "surface": ["flat"],
        },
    ),
    (
        "lymph node left level two a one point five centimetres firm fixed",
        {
            "region": "lymph nodes",
            "side": "left",
            "kind": "lymph node",
            "node_level": "IIA",
            "size_mm": [15.0],
            "consistency": ["firm"],
            "mobility": "fixed",
        },
    ),
    (
        "Left level 2 node, 12mm, rubbery",
        {
            "region": "lymph nodes",
            "side": "left",
            "kind": "lymph node",
            "node_level": "II",
            "size_mm": [12.0],
            "consistency": ["rubbery"],
        },
    ),
    (
        "submandibular node right ten millimetres mobile non tender",
        {
            "region": "lymph nodes",
            "subsite": "submandibular",
            "side": "right",
            "kind": "lymph node",
            "size_mm": [10.0],
            "mobility": "mobile",
            "tender": False,
        },
    ),
    (
        "bilateral submandibular nodes palpable one centimetre soft mobile non tender",
        {
            "region": "lymph nodes",
            "subsite": "submandibular",
            "side": "bilateral",
            "kind": "lymph node",
            "size_mm": [10.0],
            "consistency": ["soft"],
            "mobility": "mobile",
            "tender": False,
        },
    ),
    (
        "two firm lymph nodes, right jugulodigastric, 10 by 8 mm",
        {
            "region": "lymph nodes",
            "subsite": "jugulodigastric",
            "side": "right",
            "kind": "lymph node",
            "count": 2,
            "consistency": ["firm"],
            "size_mm": [10.0, 8.0],
        },
    ),
    (
        "swelling in the left submandibular region two centimetres firm fixed",
        {
            "region": "submandibular gland",
            "side": "left",
            "kind": "swelling",
            "size_mm": [20.0],
            "consistency": ["firm"],
            "mobility": "fixed",
        },
    ),
    (
        "multiple small white papules on the right buccal mucosa",
        BUCCAL_R | {"kind": "papule", "distribution": "multiple", "colours": ["white"]},
    ),
    (
        "three white papules on the right buccal mucosa",
        BUCCAL_R | {"kind": "papule", "count": 3, "colours": ["white"]},
    ),
    (
        "a couple of two millimetre vesicles, left upper lip",
        {
            "region": "lips",
            "subsite": "upper lip",
            "side": "left",
            "kind": "vesicle",
            "count": 2,
            "size_mm": [2.0],
        },
    ),
    (
        "white patch on both buccal mucosae, does not wipe off",
        {
            "region": "buccal mucosa",
            "side": "bilateral",
            "kind": "patch",
            "colours": ["white"],
            "wipes_off": False,
        },
    ),
    (
        "white plaque on the left buccal mucosa, cannot be wiped off, homogeneous",
        BUCCAL_L
        | {
            "kind": "plaque",
            "colours": ["white"],
            "wipes_off": False,
            "surface": ["homogeneous"],
        },
    ),
    (
        "candidiasis left buccal mucosa, wipes off, burning sensation",
        BUCCAL_L | {"kind": "candidiasis", "wipes_off": True, "symptoms": ["burning"]},
    ),
    (
        "crusted lesion lower lip midline, 6 mm",
        {
            "region": "lips",
            "subsite": "lower lip",
            "side": "midline",
            "kind": "lesion",
            "surface": ["crusted"],
            "size_mm": [6.0],
        },
    ),
    (
        "leukoplakia floor of mouth in the midline",
        {"region": "floor of mouth", "side": "midline", "kind": "leukoplakia"},
    ),
    (
        "sessile papilloma on the uvula, 3 mm",
        {
            "region": "soft palate",
            "subsite": "uvula",
            "kind": "papilloma",
            "attachment": "sessile",
            "size_mm": [3.0],
        },
    ),
    (
        "pedunculated fibroma, left buccal mucosa, along the bite, for two years, unchanged",
        {
            "region": "buccal mucosa",
            "subsite": "occlusal line",
            "side": "left",
            "kind": "fibroma",
            "attachment": "pedunculated",
            "duration_days": 730,
            "change": "stable",
        },
    ),
    (
        "ulcer right lateral tongue, two weeks, not healing, getting bigger",
        LATERAL_R | {"kind": "ulcer", "duration_days": 14, "change": "not healing"},
    ),
    (
        "well-defined ulcer with rolled margins, right lateral tongue, 12 mm by 1 cm",
        LATERAL_R
        | {
            "kind": "ulcer",
            "borders": ["well-defined", "rolled"],
            "size_mm": [12.0, 10.0],
        },
    ),
    (
        "white and red plaque on the left buccal mucosa",
        BUCCAL_L | {"kind": "plaque", "colours": ["white", "red"]},
    ),
    (
        "a firm and tender lump, left parotid",
        {
            "region": "parotid gland",
            "side": "left",
            "kind": "lump",
            "consistency": ["firm"],
            "tender": True,
        },
    ),
    (
        "ulcer on the right tonsil, painful, patient reports ear pain and dysphagia",
        {
            "region": "oropharynx",
            "subsite": "tonsil",
            "side": "right",
            "kind": "ulcer",
            "symptoms": ["pain", "otalgia", "dysphagia"],
        },
    ),
    (
        "ulcer, 6 mm, left lateral tongue, a fortnight",
        LATERAL_L | {"kind": "ulcer", "size_mm": [6.0], "duration_days": 14},
    ),
    (
        "left anterior pillar erythema",
        {
            "region": "oropharynx",
            "subsite": "anterior tonsillar pillar",
            "side": "left",
            "kind": "erythema",
        },
    ),
    (
        "exophytic mass, right retromolar trigone, three centimetres",
        {
            "region": "retromolar area",
            "side": "right",
            "kind": "mass",
            "surface": ["exophytic"],
            "size_mm": [30.0],
        },
    ),
    (
        "gray macule on the right side of the hard palate 4 x 3 mm",
        {
            "region": "hard palate",
            "side": "right",
            "kind": "macule",
            "colours": ["grey"],
            "size_mm": [4.0, 3.0],
        },
    ),
    (
        "hematoma left buccal mucosa since yesterday",
        BUCCAL_L | {"kind": "haematoma", "duration_days": 1},
    ),
]


@pytest.mark.parametrize(("text", "fields"), PLAIN, ids=[text[:60] for text, _ in PLAIN])
def test_one_finding_said_plainly_is_recorded_without_a_question(text: str, fields: Fields) -> None:
    reading = read(text)
    assert found(reading) == [fields]
    assert doubted(reading) == [set()], whys(reading)
    assert reading.kind == "finding"


@pytest.mark.parametrize(("text", "fields"), PLAIN, ids=[text[:60] for text, _ in PLAIN])
def test_the_same_words_without_punctuation_or_capitals_say_the_same(
    text: str, fields: Fields
) -> None:
    bare = text.lower().replace(",", "").replace(".", "")
    assert found(read(bare)) == [fields]


SEVERAL: list[tuple[str, list[Fields]]] = [
    (
        "a white plaque on the left buccal mucosa and a red patch on the hard palate, midline",
        [
            BUCCAL_L | {"kind": "plaque", "colours": ["white"]},
            {"region": "hard palate", "side": "midline", "kind": "patch", "colours": ["red"]},
        ],
    ),
    (
        "left buccal mucosa ulcer six millimetres right buccal mucosa ulcer four millimetres "
        "hard palate torus palatinus",
        [
            BUCCAL_L | {"kind": "ulcer", "size_mm": [6.0]},
            BUCCAL_R | {"kind": "ulcer", "size_mm": [4.0]},
            {"region": "hard palate", "side": "midline", "normal_variant": "torus palatinus"},
        ],
    ),
    (
        "white plaque left buccal mucosa four millimetres, right lateral tongue red patch",
        [
            BUCCAL_L | {"kind": "plaque", "colours": ["white"], "size_mm": [4.0]},
            LATERAL_R | {"kind": "patch", "colours": ["red"]},
        ],
    ),
    (
        "ulcers on the left lateral tongue and right buccal mucosa",
        [LATERAL_L | {"kind": "ulcer"}, BUCCAL_R | {"kind": "ulcer"}],
    ),
    (
        "ulcer 4 mm on the left buccal mucosa and 6 mm on the right",
        [
            BUCCAL_L | {"kind": "ulcer", "size_mm": [4.0]},
            BUCCAL_R | {"kind": "ulcer", "size_mm": [6.0]},
        ],
    ),
    (
        "white plaque 4 mm left and 6 mm right buccal mucosa",
        [
            BUCCAL_L | {"kind": "plaque", "colours": ["white"], "size_mm": [4.0]},
            BUCCAL_R | {"kind": "plaque", "colours": ["white"], "size_mm": [6.0]},
        ],
    ),
    (
        "white patch on the left buccal mucosa ten millimetres firm and an ulcer on the right "
        "lateral tongue five millimetres tender",
        [
            BUCCAL_L
            | {
                "kind": "patch",
                "colours": ["white"],
                "size_mm": [10.0],
                "consistency": ["firm"],
            },
            LATERAL_R | {"kind": "ulcer", "size_mm": [5.0], "tender": True},
        ],
    ),
]


@pytest.mark.parametrize(("text", "fields"), SEVERAL, ids=[text[:60] for text, _ in SEVERAL])
def test_several_findings_in_one_breath(text: str, fields: list[Fields]) -> None:
    reading = read(text)
    assert found(reading) == fields
    assert all(not each for each in doubted(reading)), whys(reading)


def test_what_a_lesion_shows_is_no_second_lesion() -> None:
    reading = read("mass on the left retromolar trigone with surface ulceration, 3 cm")
    (finding,) = found(reading)
    assert (finding["kind"], finding["size_mm"]) == ("mass", [30.0])


def test_what_a_lesion_looks_like_is_kept_as_a_note() -> None:
    (finding,) = found(read("white lesion consistent with lichen planus, left buccal mucosa"))
    assert finding["kind"] == "lesion"
    (finding,) = found(read("white plaque, ?leukoplakia, left floor of mouth"))
    assert finding["kind"] == "plaque"


VARIANTS: list[tuple[str, Fields]] = [
    (
        "torus palatinus ten by fifteen millimetres",
        {
            "region": "hard palate",
            "side": "midline",
            "normal_variant": "torus palatinus",
            "size_mm": [10.0, 15.0],
        },
    ),
    (
        "fordyce granules on the right buccal mucosa",
        BUCCAL_R | {"normal_variant": "Fordyce granules"},
    ),
    (
        "linea alba bilateral",
        {"region": "buccal mucosa", "side": "bilateral", "normal_variant": "linea alba"},
    ),
    (
        "median rhomboid glossitis",
        {
            "region": "tongue",
            "subsite": "dorsum",
            "side": "midline",
            "normal_variant": "median rhomboid glossitis",
        },
    ),
    (
        "bifid uvula",
        {
            "region": "soft palate",
            "subsite": "uvula",
            "side": "midline",
            "normal_variant": "bifid uvula",
        },
    ),
]


@pytest.mark.parametrize(("text", "fields"), VARIANTS)
def test_normal_variants_are_findings_of_their_own(text: str, fields: Fields) -> None:
    reading = read(text)
    assert found(reading) == [fields]
    assert doubted(reading) == [set()], whys(reading)


def test_a_variant_where_it_is_not_usual_is_asked_about() -> None:
    """Fordyce granules: cheek 110 and lip 6 of 116 (Ali et al., Saudi Dent J 2013;25:111-118)."""
    reading = read("fordyce granules on the left soft palate")
    assert doubted(reading) == [{"normal_variant", "region"}]


ASKED: list[tuple[str, str, str]] = [
    ("white patch buccal mucosa", "side", "no side"),
    ("two nodules on the lower lip, 4 mm", "side", "no side"),
    ("a 5 mm ulcer", "region", "no place"),
    ("ulcer left lateral tongue ten by six", "size_mm", "no unit"),
    ("ulcer left lateral tongue five", "size_mm", "no unit"),
    ("ulcer left lateral tongue five to six millimetres", "size_mm", "range"),
    ("ulcer left lateral tongue ten centimetres", "size_mm", "more than 60 mm"),
    ("ulcer left lateral tongue eight hundred millimetres", "size_mm", "say it again"),
    ("ulcer left lateral tongue zero point one millimetres", "size_mm", "less than 0.5 mm"),
    ("ulcer left lateral tongue less than five millimetres", "size_mm", "bound"),
    ("ulcer left lateral tongue ten six millimetres", "size_mm", "said as well"),
    ("ulcer left lateral tongue millimetres", "size_mm", "figure"),
    ("two five millimetre ulcers on the left lateral tongue", "size_mm", "right before"),
    ("1,5 cm ulcer on the left lateral tongue", "size_mm", "right before"),
    ("both tonsils enlarged", "kind", "no lesion"),
    ("ulcer left lateral tongue a few millimetres", "size_mm", "no figure"),
    ("ulcer fifteen, no, fifty millimetres, left lateral tongue", "size_mm", "taken back"),
    ("white plaque left, no, right buccal mucosa", "side", "“left” was said first"),
    ("white plaque on the left, sorry, right buccal mucosa", "side", "was said first"),
    ("leukoplakia floor of mouth crossing the midline", "side", "both sides, or mostly one"),
    ("white plaque left right buccal mucosa", "side", "two sides"),
    ("white plaque left midline hard palate", "side", "two sides"),
    ("white plaque not left right buccal mucosa", "side", "not left"),
    ("plaque on the left buccal mucosa hard palate", "region", "two regions"),
    ("left lateral border of the tongue and floor of mouth, ulcer", "region", "several places"),
    ("a plaque and an ulcer on the left buccal mucosa", "side", "once for two"),
    ("ulcer on the palate, left", "region", "loose name"),
    ("dorsum ulcer left", "region", "alone"),
    ("left upper ulcer", "region", "several regions"),
    ("ulcer five millimetres behind the left commissure", "region", "landmark"),
    ("ulcer palatal to the upper right first molar", "side", "tooth"),
    ("ulcer left lateral tongue a few days", "duration_days", "a few"),
    ("ulcer left lateral tongue since last month", "duration_days", "last month"),
    ("ulcer left lateral tongue several weeks", "duration_days", "no figure"),
    ("possible ulcer on the right tonsil", "kind", "not sure"),
    ("query ulcer on the right tonsil", "kind", "not sure"),
    ("history of ulcers on the left lateral tongue", "kind", "past"),
    ("previous ulcer left lateral tongue", "kind", "past"),
    ("left masseter tender", "kind", "no lesion"),
    ("left lateral tongue ten millimetres indurated", "kind", "no lesion"),
    ("two ulcer on the left lateral tongue", "count", "does not go"),
    ("level two a five millimetre node on the left", "node_level", "may belong"),
    ("left lateral tongue blorp ulcer", "region", "not understood"),
    ("ulcer left lateral tongue tender non tender", "tender", "both"),
]


@pytest.mark.parametrize(("text", "field", "why"), ASKED)
def test_what_was_not_plainly_said_is_asked_about(text: str, field: str, why: str) -> None:
    reading = read(text)
    assert field in doubted(reading)[0], whys(reading)
    assert why in whys(reading)


def test_words_that_fit_nothing_are_kept_in_the_note_and_shown() -> None:
    reading = read("frobnicated ulcer on the left lateral tongue")
    assert reading.not_understood == ("frobnicated",)
    (command,) = reading.commands
    assert "frobnicated" in command.fields.note  # type: ignore[union-attr, operator]


def test_a_number_that_counts_is_no_size() -> None:
    (finding,) = found(read("two nodules on the left lower lip"))
    assert (finding["count"], finding.get("size_mm")) == (2, None)


def test_a_distance_is_no_size() -> None:
    text = "lesion on the left buccal mucosa, 1 cm from the commissure, 5 mm in diameter"
    (finding,) = found(read(text))
    assert finding["size_mm"] == [5.0]
    assert finding["region"] == "buccal mucosa"


@pytest.mark.parametrize(
    "text",
    [
        "swelling left gingiva by tooth thirty six",
        "swelling left gingiva at the lower left six",
        "swelling left gingiva opposite the upper left second molar",
        "swelling left gingiva at tooth number two four",
    ],
)
def test_a_tooth_is_no_size(text: str) -> None:
    (finding,) = found(read(text))
    assert "size_mm" not in finding
    assert finding["side"] == "left"


@pytest.mark.parametrize(
    "text",
    [
        "right, so there is an ulcer on the tongue",
        "all right ulcer on the tongue",
        "right then, ulcer on the tongue",
    ],
)
def test_right_as_a_word_of_talk_is_no_side(text: str) -> None:
    reading = read(text)
    (finding,) = found(reading)
    assert "side" not in finding
    assert "side" in doubted(reading)[0]
