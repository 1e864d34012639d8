"""The order of the words is the trade's (common practice, no source)."""

from __future__ import annotations

from datetime import timedelta

import pytest

from dictate.exam.finding import FindingFields
from dictate.exam.plurals import plural
from dictate.exam.readback import (
    and_words,
    duration_words,
    field_words,
    finding_words,
    mark_words,
    place_words,
    size_words,
)


def words(**fields: object) -> str:
    return finding_words(FindingFields.model_validate(fields))


def test_everything_said_is_read_back_in_order() -> None:
    assert words(
        region="tongue",
        subsite="lateral border",
        side="left",
        kind="plaque",
        count=1,
        size_mm=[10.0, 6.0],
        colours=["white", "red"],
        surface=["smooth"],
        borders=["well-defined", "raised"],
        consistency=["firm"],
        mobility="mobile",
        tender=False,
        attachment="sessile",
        wipes_off=False,
        symptoms=["burning"],
        denied_symptoms=["pain", "numbness"],
        change="growing",
        duration_days=21,
        note="near the second premolar",
    ) == (
        "Left lateral border of the tongue: one 10 by 6 mm white and red plaque, smooth surface, "
        "well-defined and raised borders, sessile, firm, mobile, not tender, does not wipe off, "
        'with burning, without pain and numbness, growing, present 3 weeks. Note: "near the second '
        'premolar".'
    )


def test_several_of_a_kind() -> None:
    assert words(region="lips", subsite="upper lip", side="right", kind="vesicle", count=3) == (
        "Right upper lip: three vesicles."
    )
    assert words(region="face", side="left", kind="papule", distribution="multiple") == (
        "Left face: multiple papules."
    )
    assert words(region="face", side="left", kind="papule", count=12).endswith("12 papules.")
    assert words(region="face", side="left", kind="papule", count=0).endswith("no papules.")


def test_a_normal_variant_is_called_one() -> None:
    assert words(region="buccal mucosa", side="bilateral", normal_variant="linea alba") == (
        "Buccal mucosa, both sides: linea alba, variant of normal."
    )
    assert words(region="hard palate", kind="bony growth", normal_variant="torus palatinus") == (
        "Hard palate: bony growth, torus palatinus, variant of normal."
    )


def test_nothing_is_made_up_for_what_was_not_said() -> None:
    assert words() == "Place not said: finding."
    assert words(region="tongue", tender=True) == "Tongue: finding, tender."


@pytest.mark.parametrize(
    ("fields", "place"),
    [
        ({"region": "tongue"}, "tongue"),
        ({"region": "tongue", "subsite": "dorsum"}, "dorsum of the tongue"),
        ({"region": "gingiva", "subsite": "maxillary buccal"}, "maxillary buccal gingiva"),
        ({"region": "floor of mouth", "subsite": "anterior"}, "anterior floor of mouth"),
        ({"region": "floor of mouth", "subsite": "lateral floor"}, "lateral floor of mouth"),
        ({"region": "eyes, ears and nose", "subsite": "ear", "side": "left"}, "left ear"),
        ({"region": "thyroid gland", "subsite": "thyroid lobe"}, "thyroid lobe"),
        ({"region": "thyroid gland", "subsite": "isthmus"}, "isthmus of the thyroid gland"),
        (
            {"region": "oropharynx", "subsite": "tonsillar pillar"},
            "tonsillar pillar of the oropharynx",
        ),
        ({"region": "lips", "subsite": "lower lip", "side": "midline"}, "lower lip, midline"),
        ({"region": "tongue", "side": "bilateral"}, "tongue, both sides"),
        (
            {"region": "lymph nodes", "subsite": "submental", "side": "left", "node_level": "IA"},
            "left submental lymph nodes, level IA",
        ),
    ],
)
def test_places(fields: dict[str, str], place: str) -> None:
    assert place_words(FindingFields.model_validate(fields)) == place


@pytest.mark.parametrize(
    ("span", "said"),
    [
        (timedelta(days=1), "1 day"),
        (timedelta(days=10), "10 days"),
        (timedelta(weeks=1), "1 week"),
        (timedelta(weeks=3), "3 weeks"),
        (timedelta(days=30), "1 month"),
        (timedelta(days=180), "6 months"),
        (timedelta(days=365), "1 year"),
        (timedelta(days=0), "0 days"),
    ],
)
def test_durations(span: timedelta, said: str) -> None:
    # Weeks from the standard library's timedelta; a month of 30 and a year of 365 days are ours.
    assert duration_words(span.days) == said


def test_sizes_have_no_needless_zeros() -> None:
    assert size_words([15.0]) == "15 mm"
    assert size_words([1.5, 0.25]) == "1.5 by 0.25 mm"
    assert size_words([100.0, 20.0, 10.0]) == "100 by 20 by 10 mm"


@pytest.mark.parametrize(
    ("one", "many"),
    [
        # Latin plurals as medical English has them: common practice, no source.
        ("bulla", "bullae"),
        ("petechia", "petechiae"),
        ("ecchymosis", "ecchymoses"),
        ("torus", "tori"),
        ("telangiectasia", "telangiectasias"),
        ("leukoplakia", "leukoplakias"),
        ("area", "areas"),
        ("keratosis", "keratoses"),
        ("lichen-like striae", "lichen-like striae"),
        ("biopsy", "biopsies"),
        ("naevus", "naevi"),
        ("haematoma", "haematomas"),
        ("papilloma", "papillomas"),
        ("sinus tract", "sinus tracts"),
        ("aphthous ulcer", "aphthous ulcers"),
        ("patch", "patches"),
        ("mass", "masses"),
        ("abscess", "abscesses"),
        ("lymph node", "lymph nodes"),
        ("cyst", "cysts"),
        ("Fordyce granules", "Fordyce granules"),
        ("erythema", "erythema"),
        ("angular cheilitis", "angular cheilitis"),
    ],
)
def test_plurals(one: str, many: str) -> None:
    assert plural(one) == many


def test_small_words() -> None:
    assert and_words([]) == ""
    assert and_words(["a"]) == "a"
    assert and_words(["a", "b", "c"]) == "a, b and c"
    assert field_words("duration_days", 21) == "duration 3 weeks"
    assert field_words("tender", False) == "tenderness no"
    assert field_words("side", None) == "side not said"
    assert field_words("size_mm", [4.0]) == "size 4 mm"
    assert mark_words("tongue", "not_examined", "left", "gagged") == (
        "Left tongue: not examined, gagged."
    )
    assert mark_words("tongue", "normal", None, None) == "Tongue: normal."
