"""What may be the size, the side or the place of something else is asked about, not taken.

Invented dictations; what they mean is common practice, no source.
"""

from __future__ import annotations

import pytest

from dictate.exam.commands import AddDetail, AddFinding, MarkRegion
from dictate.exam.finding import FindingFields
from dictate.matching.reading import Context
from tests.matching_helpers import NOWHERE, found, marks, read

AFTER = Context(
    region="buccal mucosa",
    side="left",
    last=FindingFields(region="buccal mucosa", side="left", kind="ulcer"),
)
AT_CHEEK = Context(region="buccal mucosa", gone_to=True)
REVIEW = Context(reviewing=True)


def asked(text: str, context: Context = NOWHERE) -> list[set[str]]:
    """The fields in doubt of each finding and detail."""
    return [
        {doubt.field for doubt in command.needs_review}
        for command in read(text, context).commands
        if isinstance(command, AddFinding | AddDetail)
    ]


@pytest.mark.parametrize(
    "text",
    [
        "gum around upper left six, swollen, pocket is seven millimetres",
        "gum lower right red and swollen, probing six millimetres",
        "ulcer right floor of mouth, one centimetre margins planned",
        "ulcer right lower lip, five millimetres deep margin",
        "mouth opening twenty five millimetres, white patch right buccal mucosa",
    ],
)
def test_a_measure_of_something_else_is_asked(text: str) -> None:
    assert all("size_mm" in fields for fields in asked(text))
    assert asked(text)


@pytest.mark.parametrize(
    "text",
    [
        "ulcer right floor of mouth, five millimetres, rolled margins",
        "five millimetre ulcer with red margins on the right lateral tongue",
        "white patch, right buccal mucosa, ten millimetres, margins irregular",
    ],
)
def test_a_plain_size_beside_a_margin_is_not_asked(text: str) -> None:
    assert asked(text) == [set()]


def test_a_measure_alone_of_something_else_is_no_detail() -> None:
    assert not read("tooth length is twenty one millimetres", AFTER).commands
    assert not read("mouth opening thirty millimetres", AFTER).commands
    assert read("thirty millimetres", AFTER).commands


@pytest.mark.parametrize(
    "text",
    [
        "and the other side's got one as well, four millimetres",
        "and on the other side, four millimetres",
        "same like that on opposite side also, four millimetres",
        "another one on the opposite side, four millimetres",
    ],
)
def test_the_other_side_is_never_a_detail_of_the_first(text: str) -> None:
    (finding,) = found(read(text, AFTER))
    assert (finding["side"], list(finding["size_mm"])) == ("right", [4.0])
    assert "side" in asked(text, AFTER)[0]


def test_two_sides_after_a_pause_are_each_asked() -> None:
    text = "papule two millimetres left, and right one millimetre"
    assert {"side", "size_mm"} <= asked(text, AT_CHEEK)[0]
    assert asked("papules left and right, two millimetres", AT_CHEEK) == [set()]


def test_how_far_it_crosses_the_midline_makes_no_second_lesion() -> None:
    text = "mass right tongue base, thirty millimetres, crossing the midline by five millimetres"
    assert {"side", "size_mm"} <= asked(text)[0]
    assert len(asked(text)) == 1


def test_a_size_after_a_pause_is_of_the_lesion_that_it_leads() -> None:
    text = "seven millimetre nodule left upper lip; three millimetre papule right upper lip"
    assert [(f["side"], list(f["size_mm"])) for f in found(read(text))] == [
        ("left", [7.0]),
        ("right", [3.0]),
    ]
    for text in (
        "ulcer left cheek, five millimetres and a papule on the right lip",
        "ulcer left cheek, five millimetres, papule on the right lip",
    ):
        first, second = found(read(text))
        assert list(first["size_mm"]) == [5.0]
        assert "size_mm" not in second


def test_a_size_opposite_a_landmark_is_kept_and_one_behind_it_is_a_distance() -> None:
    (kept,) = found(read("ulcer of the right buccal mucosa of five millimetres opposite the molar"))
    assert list(kept["size_mm"]) == [5.0]
    (far,) = found(read("ulcer right buccal mucosa, five millimetres behind the commissure"))
    assert "size_mm" not in far


@pytest.mark.parametrize(
    "text", ["ten millimetres from the midline", "lesion not extending to the left side"]
)
def test_a_landmark_by_itself_gives_no_sure_side(text: str) -> None:
    assert all({"region", "side"} <= fields for fields in asked(text, AFTER))


def test_where_pain_goes_is_no_place_of_a_lesion() -> None:
    text = "pain goes to the left ear but the lesion's on the right tonsil, fifteen millimetres"
    (finding,) = found(read(text))
    assert (finding["subsite"], finding["side"]) == ("tonsil", "right")


def test_health_on_an_unnamed_side_is_asked_and_takes_none_from_the_next_lesion() -> None:
    text = "the contralateral neck is clear; on the left there is a level three node of nine mm"
    reading = read(text)
    assert marks(reading) == [("neck", "normal", None)]
    assert [c.doubt is not None for c in reading.commands if isinstance(c, MarkRegion)] == [True]
    assert [(f["side"], f["node_level"]) for f in found(reading)] == [("left", "III")]
    clear = read("occipital nodes clear, left level two node, nine millimetres")
    assert [(f["side"], f["node_level"]) for f in found(clear)] == [("left", "II")]


@pytest.mark.parametrize(
    ("text", "context", "names"),
    [
        ("uh, could you undo that for me please", NOWHERE, ["Undo"]),
        ("oh no, undo that last bit", NOWHERE, ["Undo"]),
        ("no wait, bring that back", NOWHERE, ["Redo"]),
        ("would you delete that last finding for me", NOWHERE, ["DeleteFinding"]),
        ("alright, moving on", NOWHERE, ["NextRegion"]),
        ("can we go back one region please", NOWHERE, ["PreviousRegion"]),
        ("right, let's have a look at the soft palate", NOWHERE, ["GoTo"]),
        ("I'm done, finish the examination", NOWHERE, ["Save"]),
        ("actually make it the right", AFTER, ["ChangeField"]),
        ("right then, let's move on to the next one", NOWHERE, ["NextRegion"]),
        ("let's go back to the last region", NOWHERE, ["PreviousRegion"]),
        ("let's go back to the tongue", NOWHERE, ["GoTo"]),
        ("could you take me to the lymph nodes please", NOWHERE, ["GoTo"]),
        ("hold on, pause", NOWHERE, ["Pause"]),
        ("okay, skip that one for now", REVIEW, ["Skip"]),
        ("yep, that's correct", REVIEW, ["Answer"]),
        # Said to somebody in the room, or at odds with itself.
        ("could you remove that for me", NOWHERE, []),
        ("can you put that back please", NOWHERE, []),
        ("could you hold on for a second", NOWHERE, []),
        ("no, save it", NOWHERE, []),
        ("no, that's right", REVIEW, []),
        ("save me a seat", NOWHERE, []),
        ("skip breakfast before the blood test", REVIEW, []),
    ],
)
def test_politeness_around_a_command(text: str, context: Context, names: list[str]) -> None:
    assert [type(command).__name__ for command in read(text, context).commands] == names


@pytest.mark.parametrize(
    "text",
    [
        "the next patient is the one with the lump on the lip",
        "three weeks is the limit for an ulcer, after that we refer",
        "the student said the nodes on the right felt hard but I don't agree",
    ],
)
def test_what_is_told_of_others_records_nothing(text: str) -> None:
    assert not read(text, AFTER).commands


@pytest.mark.parametrize(
    "text",
    [
        "it was eight millimetres last month",
        "used to be twelve millimetres",
        "down from nine millimetres",
        "it has grown three millimetres",
        "elevated by two millimetres",
        "two millimetres bigger than before",
    ],
)
def test_a_size_of_earlier_or_of_growth_is_asked(text: str) -> None:
    assert all("size_mm" in fields for fields in asked(text, AFTER))


@pytest.mark.parametrize(
    "text",
    [
        "an eighth of an inch papule on the right upper lip",
        "ulcer right tongue with an induration extending two centimetres towards the floor",
        "ulcer right lateral tongue, a centimetre posterior from the tip",
        "red patch on the left soft palate where the right one is normal, seven millimetres",
    ],
)
def test_a_size_that_may_be_none_or_that_went_nowhere_is_asked(text: str) -> None:
    assert all("size_mm" in fields for fields in asked(text))
    assert asked(text)


def test_under_one_side_of_the_tongue_may_be_the_floor_of_the_mouth() -> None:
    text = "lump under the left side of the tongue, eight millimetres"
    assert "region" in asked(text)[0]
    assert asked("lump on the left side of the tongue, eight millimetres") == [set()]


def test_a_structure_that_is_only_a_landmark_is_no_finding() -> None:
    text = "ulcer left buccal mucosa, eight millimetres anterior to the parotid papilla"
    (finding,) = found(read(text))
    assert "size_mm" not in finding
    assert "normal_variant" not in finding


def test_the_region_is_asked_after_a_word_that_may_have_named_it() -> None:
    text = "tongue left ulcer ten millimetres; floor right ulcer six millimetres"
    assert "region" in asked(text)[1]
    plain = "lower lip, left papule two millimetres, right papule three millimetres"
    assert asked(plain) == [set(), set()]


def test_a_lesion_with_a_place_of_its_own_is_not_the_one_before_named_again() -> None:
    text = "a red macule on the left tonsil, on the left tonsil there is a white macule"
    assert [list(each["colours"]) for each in found(read(text))] == [["red"], ["white"]]
