"""Words that go on from what was said before."""

from __future__ import annotations

import pytest

from dictate.exam.commands import AddDetail, GoTo
from dictate.exam.finding import FindingFields
from dictate.matching.reading import Context, Site
from tests.matching_helpers import AFTER_ULCER, ULCER, detail, doubted, found, marks, read, whys

FLOOR = Context(region="floor of mouth")


@pytest.mark.parametrize(
    ("text", "fields"),
    [
        ("it is tender", {"tender": True}),
        ("it's tender and indurated", {"tender": True, "consistency": ["indurated"]}),
        ("is tender on palpation", {"tender": True}),
        ("present for three weeks", {"duration_days": 21}),
        ("three weeks", {"duration_days": 21}),
        ("rolled borders", {"borders": ["rolled"]}),
        ("the ulcer is fixed", {"mobility": "fixed"}),
        ("the lesion is growing", {"change": "growing"}),
        ("this ulcer bleeds on touch", {"symptoms": ["bleeding"]}),
        ("patient reports pain", {"symptoms": ["pain"]}),
        ("has been there for six weeks", {"duration_days": 42}),
        ("does not wipe off", {"wipes_off": False}),
        ("it is white", {"colours": ["white"]}),
    ],
)
def test_a_detail_goes_to_the_finding_before(text: str, fields: dict[str, object]) -> None:
    reading = read(text, AFTER_ULCER)
    assert detail(reading) == fields
    assert doubted(reading) == [set()]


@pytest.mark.parametrize(
    ("text", "field"),
    [("it measures ten millimetres", "size_mm"), ("ten by six millimetres", "size_mm")],
)
def test_a_detail_at_odds_with_the_finding_is_asked_about(text: str, field: str) -> None:
    reading = read(text, AFTER_ULCER)
    assert field in doubted(reading)[0]
    assert "before" in whys(reading)
    (command,) = reading.commands
    assert isinstance(command, AddDetail)
    assert any(each.value == [12.0] for each in command.alternatives)


def test_a_side_that_was_missing_completes_the_finding() -> None:
    last = FindingFields(region="buccal mucosa", kind="plaque")
    reading = read("on the left", Context(region="buccal mucosa", last=last))
    assert detail(reading) == {"side": "left"}


def test_a_place_that_was_missing_completes_the_finding() -> None:
    last = FindingFields(kind="plaque", colours=("white",))
    reading = read("left buccal mucosa", Context(last=last))
    assert detail(reading) == {"region": "buccal mucosa", "side": "left"}


def test_another_one_is_of_the_same_kind_and_its_place_is_asked_about() -> None:
    reading = read("another one, four millimetres", AFTER_ULCER)
    assert found(reading) == [
        {
            "region": "tongue",
            "subsite": "lateral border",
            "side": "left",
            "kind": "ulcer",
            "size_mm": [4.0],
        }
    ]
    assert doubted(reading) == [{"region", "subsite", "side"}]


def test_another_one_with_a_place_is_not_asked_about() -> None:
    reading = read("another one on the right buccal mucosa, four millimetres", AFTER_ULCER)
    assert found(reading) == [
        {"region": "buccal mucosa", "side": "right", "kind": "ulcer", "size_mm": [4.0]}
    ]
    assert doubted(reading) == [set()]


def test_the_same_site_is_taken_over_with_its_side() -> None:
    reading = read("same site, red patch, seven millimetres", AFTER_ULCER)
    (finding,) = found(reading)
    assert (finding["region"], finding["subsite"], finding["side"], finding["kind"]) == (
        "tongue",
        "lateral border",
        "left",
        "patch",
    )
    assert doubted(reading) == [set()]


def test_the_other_side_is_asked_about() -> None:
    reading = read("another one on the other side, three millimetres", AFTER_ULCER)
    (finding,) = found(reading)
    assert finding["side"] == "right"
    assert "side" in doubted(reading)[0]


def test_another_without_a_finding_before_is_asked_about() -> None:
    reading = read("another one on the left buccal mucosa, 4 mm")
    assert "kind" in doubted(reading)[0]


def test_a_lesion_without_a_place_takes_the_region_in_hand_and_asks() -> None:
    reading = read("ulcer, five millimetres", FLOOR)
    (finding,) = found(reading)
    assert finding == {"region": "floor of mouth", "kind": "ulcer", "size_mm": [5.0]}
    assert doubted(reading) == [{"region", "side"}]


def test_a_side_in_hand_is_never_taken_over_in_silence() -> None:
    here = Context(region="buccal mucosa", side="right")
    reading = read("white plaque, ten millimetres", here)
    (finding,) = found(reading)
    assert finding["side"] == "right"
    assert {"region", "side"} <= doubted(reading)[0]


def test_a_region_named_again_does_not_take_the_side_in_hand() -> None:
    here = Context(region="buccal mucosa", side="right")
    reading = read("white plaque on the buccal mucosa", here)
    (finding,) = found(reading)
    assert "side" not in finding
    assert "side" in doubted(reading)[0]


def test_a_part_is_of_the_region_in_hand() -> None:
    reading = read("ulcer on the left lateral border, 5 mm", Context(region="tongue"))
    (finding,) = found(reading)
    assert (finding["region"], finding["subsite"]) == ("tongue", "lateral border")
    assert doubted(reading) == [set()]


def test_a_detail_after_moving_on_is_not_put_on_the_finding_before() -> None:
    here = Context(region="floor of mouth", last=ULCER)
    reading = read("soft, no lumps", here)
    assert marks(reading) == [("floor of mouth", "palpated", None)]
    assert not any(isinstance(each, AddDetail) for each in read("tender", here).commands)


def test_a_place_alone_is_gone_to() -> None:
    reading = read("right buccal mucosa")
    assert reading.commands == (GoTo(region="buccal mucosa"),)
    assert reading.kind == "command"
    assert reading.site == Site("buccal mucosa", None, "right")


@pytest.mark.parametrize("text", ["ten millimetres", "it is tender", "white", "left"])
def test_a_detail_without_a_finding_or_a_place_is_put_aside_with_a_reason(text: str) -> None:
    reading = read(text)
    assert reading.kind == "ignored"
    assert reading.commands == ()
    assert reading.why


def test_definite_words_for_a_finding_of_another_place_make_a_new_one() -> None:
    reading = read("the ulcer on the right buccal mucosa is tender", AFTER_ULCER)
    assert found(reading) == [
        {"region": "buccal mucosa", "side": "right", "kind": "ulcer", "tender": True}
    ]
