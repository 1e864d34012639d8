"""Spoken commands: whole utterances only, and never out of a finding's words."""

from __future__ import annotations

from typing import Any

import pytest

from dictate.exam import commands as cmd
from dictate.matching.reading import Context
from tests.matching_helpers import AFTER_ULCER, MATCHER, found, heard, read

REVIEW = Context(region="tongue", reviewing=True, last=AFTER_ULCER.last)
PAUSED = Context(paused=True)

SIMPLE: list[tuple[str, cmd.Command]] = [
    ("undo", cmd.Undo()),
    ("Undo that.", cmd.Undo()),
    ("please undo that", cmd.Undo()),
    ("scratch that", cmd.Undo()),
    ("redo", cmd.Redo()),
    ("delete that finding", cmd.DeleteFinding(target="last")),
    ("delete finding three", cmd.DeleteFinding(target="f3")),
    ("delete finding number 12", cmd.DeleteFinding(target="f12")),
    ("next region", cmd.NextRegion()),
    ("next region please", cmd.NextRegion()),
    ("go back a region", cmd.PreviousRegion()),
    ("go to the floor of the mouth", cmd.GoTo(region="floor of mouth")),
    ("go to tongue", cmd.GoTo(region="tongue")),
    ("moving on to the gums", cmd.GoTo(region="gingiva")),
    ("now the hard palate", cmd.GoTo(region="hard palate")),
    ("go to the lateral tongue", cmd.GoTo(region="tongue")),
    ("pause listening", cmd.Pause()),
    ("start review", cmd.StartReview()),
    ("save and finish", cmd.Save()),
    ("help", cmd.Help()),
]


@pytest.mark.parametrize(("text", "command"), SIMPLE)
def test_commands_are_obeyed(text: str, command: cmd.Command) -> None:
    reading = read(text, AFTER_ULCER)
    assert reading.commands == (command,)
    assert reading.kind == "command"


CORRECTIONS: list[tuple[str, str, Any]] = [
    ("correct size to twelve millimetres", "size_mm", [12.0]),
    ("correct the size to twelve by eight millimetres", "size_mm", [12.0, 8.0]),
    ("change the size to one point five centimeters", "size_mm", [15.0]),
    ("change size from twelve to fifteen millimetres", "size_mm", [15.0]),
    ("change side to left", "side", "left"),
    ("change side from left to right", "side", "right"),
    ("make that right not left", "side", "right"),
    ("make that left", "side", "left"),
    ("correct the side to bilateral", "side", "bilateral"),
    ("change kind to plaque", "kind", "plaque"),
    ("correct the colour to red", "colours", ["red"]),
    ("correct the color to white and red", "colours", ["white", "red"]),
    ("correct duration to two weeks", "duration_days", 14),
    ("change the count to three", "count", 3),
    ("correct tenderness to non tender", "tender", False),
    ("change mobility to fixed", "mobility", "fixed"),
    ("change consistency to firm", "consistency", ["firm"]),
    ("i meant fifteen millimetres", "size_mm", [15.0]),
]


@pytest.mark.parametrize(("text", "field", "value"), CORRECTIONS)
def test_a_field_is_corrected_by_name_or_by_its_value(text: str, field: str, value: Any) -> None:
    reading = read(text, AFTER_ULCER)
    (command,) = reading.commands
    assert isinstance(command, cmd.ChangeField)
    assert (command.target, command.field, command.value) == ("last", field, value)
    assert command.doubt is None


def test_a_corrected_site_brings_its_parts_along() -> None:
    reading = read("correct the site to left buccal mucosa", AFTER_ULCER)
    changes = {each.field: each.value for each in reading.commands}  # type: ignore[union-attr]
    assert changes == {"region": "buccal mucosa", "side": "left"}


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("make that fifteen", "no unit"),
        ("correct size to five to six millimetres", "range"),
        ("correct size to ten centimetres", "more than 60"),
    ],
)
def test_a_doubtful_correction_is_asked_about(text: str, why: str) -> None:
    (command,) = read(text, AFTER_ULCER).commands
    assert isinstance(command, cmd.ChangeField)
    assert why in (command.doubt or "")


@pytest.mark.parametrize(
    "text",
    [
        "correct",
        "correct the size",
        "correct size to left",
        "change side to twelve millimetres",
        "go to",
        "go to sleep",
        "make the appointment",
        "confirm",
        "save the white plaque",
        "off the record he is a bore",
    ],
)
def test_what_is_no_complete_command_does_nothing(text: str) -> None:
    reading = read(text, AFTER_ULCER)
    assert reading.commands == ()
    assert reading.kind == "ignored"
    assert reading.why


def test_a_finding_may_follow_a_step() -> None:
    reading = read("moving on to the floor of mouth, white plaque anterior, left, 5 mm")
    assert reading.commands[0] == cmd.GoTo(region="floor of mouth")
    assert found(reading) == [
        {
            "region": "floor of mouth",
            "subsite": "anterior floor",
            "side": "left",
            "kind": "plaque",
            "colours": ["white"],
            "size_mm": [5.0],
        }
    ]


def test_a_step_may_follow_a_statement() -> None:
    reading = read("left buccal mucosa normal, next region")
    assert isinstance(reading.commands[0], cmd.MarkRegion)
    assert reading.commands[1] == cmd.NextRegion()


def test_a_new_finding_may_follow_an_undo() -> None:
    reading = read("scratch that, red patch on the left buccal mucosa")
    assert reading.commands[0] == cmd.Undo()
    assert len(found(reading)) == 1


@pytest.mark.parametrize(
    ("text", "command"),
    [
        ("yes", cmd.Answer(yes=True)),
        ("Yes.", cmd.Answer(yes=True)),
        ("correct", cmd.Answer(yes=True)),
        ("that is correct", cmd.Answer(yes=True)),
        ("confirm", cmd.Answer(yes=True)),
        ("no", cmd.Answer(yes=False)),
        ("that is wrong", cmd.Answer(yes=False)),
        ("skip this one", cmd.Skip()),
        ("read that again", cmd.Repeat()),
        ("undo", cmd.Undo()),
        ("save", cmd.Save()),
    ],
)
def test_answers_in_the_review(text: str, command: cmd.Command) -> None:
    assert read(text, REVIEW).commands == (command,)


def test_a_bare_value_in_the_review_changes_the_field() -> None:
    (command,) = read("twelve millimetres", REVIEW).commands
    assert isinstance(command, cmd.ChangeField)
    assert (command.field, command.value) == ("size_mm", [12.0])
    (command,) = read("left side", REVIEW).commands
    assert isinstance(command, cmd.ChangeField)
    assert (command.field, command.value) == ("side", "left")


def test_right_in_the_review_is_neither_yes_nor_a_side() -> None:
    reading = read("right", REVIEW)
    assert reading.commands == ()
    assert "right side" in reading.why


@pytest.mark.parametrize("text", ["yes", "no", "correct", "right", "okay", "next"])
def test_plain_answers_are_talk_outside_the_review(text: str) -> None:
    assert read(text).commands == ()


@pytest.mark.parametrize(
    "text",
    ["there is an ulcer on the left tongue", "does that hurt", "your tongue please", "thank you"],
)
def test_talk_in_the_review_changes_nothing_by_guess(text: str) -> None:
    for each in read(text, REVIEW).commands:
        assert isinstance(each, cmd.ChangeField)
        assert "ulcer" in text


@pytest.mark.parametrize(
    "text", ["ulcer on the left tongue", "undo", "next region", "yes", "save", "hello"]
)
def test_while_paused_only_resume_is_heard(text: str) -> None:
    reading = read(text, PAUSED)
    assert reading.commands == ()
    assert reading.why == "listening is paused"
    assert read("resume listening", PAUSED).commands == (cmd.Resume(),)


@pytest.mark.parametrize(
    ("text", "command"),
    [
        ("next regent", cmd.NextRegion()),
        ("next reason", cmd.NextRegion()),
        ("previous regents", cmd.PreviousRegion()),
        ("last reason", cmd.PreviousRegion()),
        ("reviews findings", cmd.StartReview()),
    ],
)
def test_a_harmless_command_is_taken_by_likeness(text: str, command: cmd.Command) -> None:
    assert read(text).commands == (command,)


@pytest.mark.parametrize(
    "text",
    [
        "saving",
        "delete bat finding",
        "undue",
        "safe",
        "con firm that",
        "reject at",
        "please listening",
    ],
)
def test_a_command_that_changes_the_record_is_never_taken_by_likeness(text: str) -> None:
    assert read(text, AFTER_ULCER).commands == ()


def test_a_correction_heard_badly_is_asked_about() -> None:
    utterance = heard("change side to left", weak={"left": 0.4})
    (command,) = MATCHER.read(utterance, AFTER_ULCER).commands
    assert isinstance(command, cmd.ChangeField)
    assert "not heard well" in (command.doubt or "")
