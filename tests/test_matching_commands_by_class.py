"""Ways to say a command, class by class, each beside what only resembles it and must not act.

What is said in the room (`commands_by_class.toml`) is common practice, no source.
"""

from __future__ import annotations

import tomllib

import pytest

from dictate.exam import commands as cmd
from dictate.matching.forgiving import SIMPLE
from dictate.matching.reading import Context
from tests.dictations import DATA
from tests.matching_helpers import AFTER_ULCER, read

REVIEW = Context(region="tongue", reviewing=True, last=AFTER_ULCER.last)
PAUSED = Context(region="tongue", paused=True, last=AFTER_ULCER.last)
PLACES = {"": AFTER_ULCER, "reviewing": REVIEW, "paused": PAUSED}
DICTATED = (cmd.AddFinding, cmd.AddDetail, cmd.MarkRegion)
DOES: dict[str, cmd.Command] = {**SIMPLE, "go_to": cmd.GoTo(region="hard palate")}
WAYS = tomllib.loads((DATA / "commands_by_class.toml").read_text(encoding="utf-8"))["ways"]


def _each(which: str) -> list[tuple[str, str, str]]:
    return [(ways["does"], ways.get("where", ""), text) for ways in WAYS for text in ways[which]]


@pytest.mark.parametrize(("does", "where", "text"), _each("said"))
def test_a_command_is_obeyed_in_other_words(does: str, where: str, text: str) -> None:
    assert read(text, PLACES[where]).commands == (DOES[does],)


@pytest.mark.parametrize(("does", "where", "text"), _each("near"))
def test_what_only_resembles_it_does_not_act(does: str, where: str, text: str) -> None:
    assert read(text, PLACES[where]).commands == ()


@pytest.mark.parametrize(
    "text",
    [
        "next one, white patch on the left buccal mucosa",
        "next one. ulcer, left lateral border",
        "the next one is bigger",
        "colour change to brown",
        "size change to about six millimetres over the last year",
        "pain that goes straight to the ear",
        "spreads down to the neck",
        "he saw another dentist, ulcer on the left lateral border of the tongue",
    ],
)
def test_dictation_with_such_words_only_dictates(text: str) -> None:
    commands = read(text, AFTER_ULCER).commands
    assert commands
    assert all(isinstance(each, DICTATED) for each in commands)


@pytest.mark.parametrize(
    ("text", "field", "value"),
    [
        ("duration kindly correct to six months", "duration_days", 180),
        ("size please correct to nine millimetres", "size_mm", [9.0]),
        ("the side kindly update to right", "side", "right"),
        ("colour, make it red", "colours", ["red"]),
        ("duration should read six weeks", "duration_days", 42),
    ],
)
def test_the_field_may_stand_before_the_verb(text: str, field: str, value: object) -> None:
    (command,) = read(text, AFTER_ULCER).commands
    assert isinstance(command, cmd.ChangeField)
    assert (command.field, command.value) == (field, value)


@pytest.mark.parametrize(
    ("text", "part"),
    [
        ("change anterior to posterior", "posterior third"),
        ("change the site to posterior", "posterior third"),
        ("the site should be posterior", "posterior third"),
        ("make it the anterior third", "anterior third"),
    ],
)
def test_another_part_of_the_region_in_hand_is_asked_about(text: str, part: str) -> None:
    (command,) = read(text, AFTER_ULCER).commands
    assert isinstance(command, cmd.ChangeField)
    assert (command.field, command.value) == ("subsite", part)
    assert command.doubt


@pytest.mark.parametrize(
    "text", ["make it lower", "make it posterior", "make it a bit higher", "change the anterior"]
)
def test_a_part_that_may_be_of_the_chair_changes_nothing(text: str) -> None:
    assert read(text, AFTER_ULCER).commands == ()


def test_a_finding_that_somebody_else_told_of_is_no_second_one() -> None:
    text = (
        "pigmented spot on the right temple, he says another doctor wanted to remove it, "
        "about six millimetres"
    )
    (command,) = read(text, Context()).commands
    assert isinstance(command, cmd.AddFinding)
    assert command.fields.size_mm == (6.0,)
