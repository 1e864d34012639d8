"""What belongs to which lesion, region or time, held beside neighbours that mean something else.

Meanings are common practice, no source.
"""

from __future__ import annotations

import pytest

from dictate.exam.commands import AddDetail, MarkRegion
from dictate.exam.finding import FindingFields
from dictate.matching.reading import Context
from tests.matching_helpers import doubted, found, read

AFTER_BUCCAL = Context(
    region="gingiva",
    side="left",
    last=FindingFields(region="gingiva", subsite="mandibular buccal", side="left", kind="ulcer"),
)


def marked(text: str) -> list[MarkRegion]:
    return [each for each in read(text).commands if isinstance(each, MarkRegion)]


@pytest.mark.parametrize(
    "text",
    [
        "ulcer, right tongue, six millimetres. Sorry, ulcer left tongue, six millimetres",
        "plaque right cheek, ten millimetres, scratch that, plaque left cheek, twelve millimetres",
        "level three node left, ten millimetres. No wait, level two, left, twelve millimetres",
    ],
)
def test_a_whole_finding_after_sorry_may_take_the_place_of_the_first(text: str) -> None:
    first, _ = doubted(read(text))
    assert {"kind", "region", "side", "size_mm"} <= first


def test_a_detail_after_sorry_asks_only_what_it_changes() -> None:
    first, _ = doubted(read("node, level two right, one centimetre. Wait, it is level three"))
    assert first == set()


def test_a_place_right_after_the_name_it_goes_with_is_its_own() -> None:
    linea, ulcer = found(read("linea alba, left cheek, and an ulcer, four millimetres"))
    assert (linea["side"], ulcer["side"]) == ("left", "left")
    assert "side" in doubted(read("linea alba, left cheek, and an ulcer, four millimetres"))[1]
    torus, ulcer = found(read("torus palatinus, left hard palate ulcer four millimetres"))
    assert (torus["side"], ulcer["side"]) == ("midline", "left")


def test_what_only_tells_how_many_is_no_lesion() -> None:
    reading = read(
        "tongue, left lateral border, three lesions: a papule in the anterior third of the border,"
        " then an ulcer in the middle, then a patch in the posterior part of the border"
    )
    assert [each["subsite"] for each in found(reading)] == [
        "anterior lateral border",
        "middle lateral border",
        "posterior lateral border",
    ]
    assert all("side" in each for each in doubted(reading))
    reading = read("two lesions on the left cheek, white, and a node at level two, a papule")
    assert found(reading)[0]["count"] == 2


def test_a_mere_middle_is_the_midline_where_a_region_has_but_one() -> None:
    reading = read("hard palate, ulcer in the middle, five millimetres")
    assert (found(reading)[0]["side"], doubted(reading)) == ("midline", [set()])


def test_below_on_the_jaw_line_is_on_it_and_below_the_ear_is_not_on_that() -> None:
    assert "region" not in doubted(read("a scar just below on the left jaw line"))[0]
    assert "region" in doubted(read("lump below the left ear, two centimetres"))[0]


def test_where_most_of_it_is_need_not_be_where_it_is() -> None:
    reading = read("candidiasis of the soft palate, mostly on the left")
    assert "side" in doubted(reading)[0]
    reading = read("actinic cheilitis on both lips but more on the lower")
    assert "subsite" in doubted(reading)[0]


def test_how_far_away_something_is_is_no_size() -> None:
    reading = read("ulcer on the left cheek, the commissure is two centimetres away")
    assert "size_mm" not in found(reading)[0]


@pytest.mark.parametrize(
    "text",
    [
        "the thyroid isn't enlarged",
        "the parotids are not enlarged",
        "neither parotid is enlarged",
    ],
)
def test_what_is_not_enlarged_was_looked_at(text: str) -> None:
    assert not found(read(text))
    assert [each.state in ("inspected", "palpated") for each in marked(text)] == [True]


@pytest.mark.parametrize("text", ["neither tonsil is normal", "the tonsils are not normal"])
def test_a_part_whose_health_is_denied_is_asked_about(text: str) -> None:
    (mark,) = marked(text)
    assert (mark.state, bool(mark.doubt)) == ("inspected", True)


def test_what_lies_under_a_dressing_is_not_the_region_left_out() -> None:
    (mark,) = marked("dressing over the left cheek, so I've not looked at the face")
    assert (mark.region, mark.state) == ("face", "not_examined")


def test_what_is_put_off_is_not_examined_yet() -> None:
    (mark,) = marked("parotid on the left, normal. I'll come back to the right")
    assert (mark.state, mark.side) == ("normal", "left")


@pytest.mark.parametrize(
    ("text", "change"),
    [
        ("ulcer right tongue, and a second one on the left, smaller", None),
        ("ulcer left tongue, smaller", "shrinking"),
        ("swelling of the left soft palate since he got his new denture", None),
        ("new swelling of the left soft palate", "new"),
        ("swelling of the left soft palate, has gone hard", None),
        ("the swelling of the left soft palate has gone", "resolved"),
    ],
)
def test_words_of_change_that_tell_of_none(text: str, change: str | None) -> None:
    assert found(read(text))[-1].get("change") == change


def test_how_long_a_habit_has_lasted_is_not_how_long_a_lesion_has() -> None:
    reading = read("chewing areca nut for fifteen years, both cheeks show submucous fibrosis")
    assert "duration_days" not in found(reading)[0]
    reading = read("smoker, ulcer on the left tongue for three weeks")
    assert found(reading)[0]["duration_days"] == 21


def test_a_place_denied_of_the_finding_in_hand_puts_it_right() -> None:
    reading = read("that's the lingual side, not the buccal", AFTER_BUCCAL)
    (command,) = reading.commands
    assert isinstance(command, AddDetail)
    assert command.fields.subsite == "mandibular lingual"
    assert "subsite" in {each.field for each in command.needs_review}
    (mark,) = read("the lingual gingiva is normal, not the buccal", AFTER_BUCCAL).commands
    assert isinstance(mark, MarkRegion)


@pytest.mark.parametrize(
    ("text", "state"),
    [
        ("cyst in the left vallecula, right clear", "inspected"),
        ("papule on the right eyelid, the left is normal", "inspected"),
        ("ulcer on the left of the tongue, right normal", "normal"),
    ],
)
def test_the_other_side_of_a_part_is_that_part_alone(text: str, state: str) -> None:
    (mark,) = marked(text)
    assert mark.state == state


def test_a_lesion_on_a_torus_is_one_of_its_own() -> None:
    torus = FindingFields(region="hard palate", normal_variant="torus palatinus")
    in_hand = Context(region="hard palate", last=torus)
    assert found(read("there is an ulcer on it, three millimetres", in_hand))[0]["kind"] == "ulcer"
    assert not found(read("the lump is two centimetres", in_hand))


@pytest.mark.parametrize(
    "text",
    [
        "upper labial frenum, ulcer to the left of it, three millimetres",
        "ulcer to the right side of the uvula",
    ],
)
def test_beside_a_part_in_the_midline_or_on_it(text: str) -> None:
    assert "subsite" in doubted(read(text))[0]


@pytest.mark.parametrize(
    ("text", "field"),
    [
        ("ulcer left tongue, millimetres, I mean centimetres, four", "size_mm"),
        ("ulcer left tongue, weeks, I mean months", "duration_days"),
    ],
)
def test_a_unit_taken_back_is_asked_about_as_what_it_measures(text: str, field: str) -> None:
    assert field in doubted(read(text))[0]
    assert not read("I said millimetres, I meant centimetres, so four by three").commands


def test_a_number_that_ends_what_is_said_of_a_lesion_is_read() -> None:
    reading = read("upper lip scar in the midline, actually three of them, lower lip normal")
    assert found(reading)[0]["kind"] == "scar"
