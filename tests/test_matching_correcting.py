"""Corrections without a command word, and deletions that say what is to go."""

from __future__ import annotations

from typing import Any

import pytest

from dictate.exam import commands as cmd
from dictate.exam.finding import FindingFields
from dictate.matching.reading import Context
from tests.matching_helpers import AFTER_ULCER, MATCHER, NOWHERE, heard, read

PATCH = Context(
    region="buccal mucosa",
    side="right",
    last=FindingFields(
        region="buccal mucosa",
        side="right",
        kind="patch",
        colours=("red",),
        size_mm=(14,),
        duration_days=21,
        consistency=("firm",),
    ),
)
REVIEW = Context(region="tongue", reviewing=True, last=AFTER_ULCER.last)


@pytest.mark.parametrize(
    ("text", "field", "value"),
    [
        ("white, not red", "colours", ["white"]),
        ("left, not right", "side", "left"),
        ("not fourteen, twelve millimetres", "size_mm", [12.0]),
        ("it's ten millimetres, not fourteen", "size_mm", [10.0]),
        ("four weeks, not three", "duration_days", 28),
        ("it's a plaque, not a patch", "kind", "plaque"),
        ("the left side, I should say", "side", "left"),
        ("I said right but I meant left", "side", "left"),
        ("fourteen was wrong, it's twelve millimetres", "size_mm", [12.0]),
    ],
)
def test_the_old_value_named_makes_room_for_the_new(text: str, field: str, value: Any) -> None:
    (command,) = read(text, PATCH).commands
    assert isinstance(command, cmd.ChangeField)
    assert (command.field, command.value) == (field, value)
    assert "before" not in (command.doubt or "")


@pytest.mark.parametrize(
    ("text", "field", "value"),
    [
        ("no, it's on the left", "side", "left"),
        ("sorry, nine millimetres", "size_mm", [9.0]),
        ("wait, no, that's eleven millimetres", "size_mm", [11.0]),
        ("no, sorry, labial mucosa", "region", "labial mucosa"),
        ("no, sorry, two months", "duration_days", 60),
        ("wrong side, it's the left", "side", "left"),
        ("actually, it's nine millimetres", "size_mm", [9.0]),
    ],
)
def test_what_is_only_said_no_to_is_asked(text: str, field: str, value: Any) -> None:
    (command,) = read(text, PATCH).commands
    assert isinstance(command, cmd.ChangeField)
    assert (command.field, command.value) == (field, value)
    assert "before" in (command.doubt or "")


@pytest.mark.parametrize(
    "text",
    [
        "no induration",  # a denial, not the taking back of "firm"
        "no, the other tray",
        "no, the blue one",
        "no, twelve",
        "no, to the left",
        "sorry, my left",
        "sorry, left a bit",
        "no betel nut",
        "sorry, ten minutes",
        "white, not red, the gloves",
        "I said two, I meant three cartridges",
        "let's call it a day",
        "correct, we met last year",
    ],
)
def test_what_takes_nothing_back_changes_nothing(text: str) -> None:
    assert not any(isinstance(each, cmd.ChangeField) for each in read(text, PATCH).commands)


@pytest.mark.parametrize("text", ["white, not red", "sorry, nine millimetres", "no, two months"])
def test_nothing_in_hand_is_corrected_by_no_more_than_its_value(text: str) -> None:
    assert not any(isinstance(each, cmd.ChangeField) for each in read(text, NOWHERE).commands)


def test_a_new_value_heard_otherwise_is_asked() -> None:
    (command,) = MATCHER.read(
        heard("nine millimetres not twelve", "five millimetres not twelve"), AFTER_ULCER
    ).commands
    assert isinstance(command, cmd.ChangeField)
    assert "5" in (command.doubt or "")


@pytest.mark.parametrize(
    ("text", "target"),
    [
        ("delete the ulcer", "last"),
        ("delete that ulcer, please", "last"),
        ("delete the ulcer on the left tongue", "last"),
        ("delete number two", "f2"),
        ("remove finding three", "f3"),
    ],
)
def test_a_finding_is_deleted_by_what_it_is(text: str, target: str) -> None:
    assert read(text, AFTER_ULCER).commands == (cmd.DeleteFinding(target=target),)


@pytest.mark.parametrize(
    "text",
    [
        "delete the nodule",
        "delete the ulcer on the right tongue",
        "delete the second finding",  # of those that are left, or of all that were dictated?
        "delete number",
        "remove the ulcer",
        "delete that email please",
    ],
)
def test_where_it_is_not_clear_which_nothing_is_deleted(text: str) -> None:
    assert read(text, AFTER_ULCER).commands == ()


def test_what_to_delete_must_be_heard_well() -> None:
    assert MATCHER.read(heard("delete the ulcer"), AFTER_ULCER).commands
    for other in (heard("delete the ulcer", weak={"ulcer": 0.4}),
                  heard("delete the ulcer", "delete the ulna")):  # fmt: skip
        assert MATCHER.read(other, AFTER_ULCER).commands == ()


@pytest.mark.parametrize(
    "text", ["right, twelve millimetres", "right, where were we?", "no, to the right"]
)
def test_right_in_the_review_is_a_side_only_where_it_is_said_as_one(text: str) -> None:
    assert read(text, REVIEW).commands == ()


@pytest.mark.parametrize("text", ["quite right", "yes, that's quite right", "I agree"])
def test_assent_in_the_review(text: str) -> None:
    assert read(text, REVIEW).commands == (cmd.Answer(yes=True),)
    assert read(text).commands == ()


@pytest.mark.parametrize(
    "text", ["that's fine", "looks good", "absolutely", "keep it", "that sounds good"]
)
def test_what_may_be_said_to_the_patient_confirms_nothing(text: str) -> None:
    assert read(text, REVIEW).commands == ()


def test_a_step_that_names_its_region_is_one_step() -> None:
    assert read("next region, hard palate").commands == (cmd.GoTo(region="hard palate"),)


def test_nobody_saves_or_deletes_again() -> None:
    """ "Say that again" is heard as "save that again"."""
    for context in (AFTER_ULCER, REVIEW):
        assert read("save that again, please", context).commands == (cmd.Repeat(),)
        for text in ("save the record again", "delete that again"):
            assert read(text, context).commands == ()


@pytest.mark.parametrize(
    ("text", "field", "value"),
    [
        ("Fix the size. Nine millimetres.", "size_mm", [9.0]),
        ("No, wait, that's a plaque, not a patch. Change it to plaque.", "kind", "plaque"),
        ("The colour is wrong, it should be brown.", "colours", ["brown"]),
        ("I mixed that up, it is on the left, so change the side to the left.", "side", "left"),
        ("Let me correct that, she's had it two weeks, not three weeks.", "duration_days", 14),
        ("Put it down as soft, not firm.", "consistency", ["soft"]),
        ("Can I change that from firm to hard?", "consistency", ["hard"]),
        ("Plaque, not patch. Swap that over, will you.", "kind", "plaque"),
        ("Please amend that, it's four weeks, not three weeks.", "duration_days", 28),
        ("I misread the probe, make that nine millimetres, please.", "size_mm", [9.0]),
    ],
)
def test_a_correction_may_be_said_in_several_parts(text: str, field: str, value: Any) -> None:
    (command,) = read(text, PATCH).commands
    assert isinstance(command, cmd.ChangeField)
    assert (command.field, command.value, command.doubt) == (field, value, None)


@pytest.mark.parametrize(
    ("text", "field", "value"),
    [
        ("Could you change that to a white one?", "colours", ["white"]),
        ("Switch that to the left side.", "side", "left"),
        ("Four weeks. Please correct that.", "duration_days", 28),
    ],
)
def test_a_correction_that_may_be_meant_for_something_else_is_asked(
    text: str, field: str, value: Any
) -> None:
    (command,) = read(text, PATCH).commands
    assert isinstance(command, cmd.ChangeField)
    assert (command.field, command.value) == (field, value)
    assert "before" in (command.doubt or "")


@pytest.mark.parametrize(
    "text",
    [
        "Swap that one for the small mirror.",
        "Fix that, please.",
        "The colour is wrong.",
        "Next to it a white patch, eight millimetres. Change it.",
        "White patch on the left tongue, the size is wrong, ten millimetres.",
    ],
)
def test_a_correction_that_is_not_understood_becomes_no_finding(text: str) -> None:
    assert read(text, PATCH).commands == ()


def test_a_change_of_something_is_no_command() -> None:
    reading = read("Change of colour on the left lateral tongue, red patch, five mm.", PATCH)
    assert not any(isinstance(each, cmd.ChangeField) for each in reading.commands)


def test_a_level_brings_no_region_along() -> None:
    node = FindingFields(region="lymph nodes", side="left", kind="lymph node", node_level="II")
    (command,) = read("Change it to level three.", Context(region="neck", last=node)).commands
    assert isinstance(command, cmd.ChangeField)
    assert (command.field, command.value) == ("node_level", "III")


def test_what_is_said_beside_the_value_of_a_field_is_changed_too_and_asked() -> None:
    reading = read("change the colour to white, and it is nine millimetres", PATCH)
    changes = {each.field: each for each in reading.commands if isinstance(each, cmd.ChangeField)}
    assert changes["colours"].value == ["white"]
    assert changes["size_mm"].value == [9.0]
    assert changes["colours"].doubt is None
    assert changes["size_mm"].doubt
