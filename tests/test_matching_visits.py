"""Lesions of earlier visits and decisions, in spoken words."""

from __future__ import annotations

from datetime import date

import pytest
from dateutil.relativedelta import relativedelta
from hypothesis import given, settings
from hypothesis import strategies as st
from num2words import num2words

from dictate.exam.commands import (
    AddFinding,
    Command,
    Decide,
    FollowLesion,
    LeaveLesion,
    ResolveLesion,
)
from dictate.exam.finding import FindingFields
from dictate.exam.following import LesionToday
from dictate.matching.deciding import months_after
from dictate.matching.reading import Context, Reading
from tests.matching_helpers import MATCHER, NOWHERE, heard, read
from tests.visit_samples import LATER, open_lesion

ULCER = {"region": "buccal mucosa", "subsite": None, "side": "right", "kind": "ulcer"}
LESIONS = (
    LesionToday(open_lesion(1), "not mentioned"),
    LesionToday(open_lesion(2, **ULCER), "not mentioned"),
    LesionToday(open_lesion(12, region="lips", subsite=None), "not mentioned"),
)
VISIT = Context(lesions=LESIONS, on=LATER)
AT_TONGUE = Context(lesions=LESIONS, on=LATER, region="tongue")
REVIEW = Context(lesions=LESIONS, on=LATER, reviewing=True)


def only(text: str, context: Context = VISIT) -> Command:
    (command,) = read(text, context).commands
    return command


def followed(text: str, context: Context = VISIT) -> FollowLesion:
    command = only(text, context)
    assert isinstance(command, FollowLesion), command
    return command


def why(reading: Reading) -> str:
    assert reading.kind == "ignored"
    assert reading.commands == ()
    return reading.why


@pytest.mark.parametrize(
    "text",
    [
        "lesion two same as last time",
        "lesion 2, same as last time.",
        "lesion number two the same",
        "lesion two unchanged",
        "lesion two is unchanged since last time",
        "and lesion two looks the same",
        "lesion two no change",
    ],
)
def test_the_same_as_last_time(text: str) -> None:
    command = followed(text)
    assert (command.lesion, command.what, command.doubt) == ("s0/f2", "same", None)
    assert command.fields == FindingFields()
    assert command.said == text


@pytest.mark.parametrize(
    ("text", "size", "change"),
    [
        ("lesion one smaller, six by four millimetres", (6.0, 4.0), "shrinking"),
        ("lesion one has shrunk, now six by four millimetres", (6.0, 4.0), "shrinking"),
        ("lesion one larger one point two centimetres", (12.0,), "growing"),
        ("lesion one has grown twelve by eight millimetres", (12.0, 8.0), "growing"),
        ("lesion one is now twelve millimetres", (12.0,), None),
        ("lesion twelve smaller, three millimetres", (3.0,), "shrinking"),
    ],
)
def test_a_new_size(text: str, size: tuple[float, ...], change: str | None) -> None:
    command = followed(text)
    assert command.what == "changed"
    assert command.fields.size_mm == size
    assert command.fields.change == change
    assert command.needs_review == ()
    assert command.doubt is None


def test_a_size_without_a_unit_is_asked_about() -> None:
    command = followed("lesion one smaller, six by four")
    assert command.fields.size_mm == (6.0, 4.0)
    assert [each.field for each in command.needs_review] == ["size_mm"]


def test_what_else_is_said_is_recorded() -> None:
    command = followed("lesion one larger, twelve by eight millimetres, now indurated and tender")
    assert command.fields.consistency == ("indurated",)
    assert command.fields.tender is True
    command = followed("lesion one same as last time but tender")
    assert (command.what, command.fields.tender) == ("same", True)
    command = followed("lesion one same as last time, eight millimetres")
    assert command.what == "changed", "another size than last time is no sameness"
    assert followed("lesion one not healed").fields.change == "not healing"


def test_resolved_and_not_looked_at() -> None:
    for text in ("lesion one resolved", "lesion one has healed", "lesion one is gone"):
        assert only(text) == ResolveLesion(lesion="s0/f1")
    assert only("lesion one not looked at today") == LeaveLesion(lesion="s0/f1")
    told = only("lesion one not examined today patient declined")
    assert told == LeaveLesion(lesion="s0/f1", reason="patient declined")


def test_words_after_resolved_are_not_lost() -> None:
    reading = read("lesion one resolved with a small scar", VISIT)
    assert reading.commands == (ResolveLesion(lesion="s0/f1"),)
    assert reading.not_understood == ("with a small scar",)


@pytest.mark.parametrize(
    "text",
    [
        "lesion two by three millimetres on the left lateral tongue",
        "lesion, two millimetres, left buccal mucosa",
        "lesion two point five millimetres on the left buccal mucosa",
        "lesion two to three millimetres on the left buccal mucosa",
        "there is a lesion on the left buccal mucosa, two millimetres, unchanged",
        "two lesions on the left buccal mucosa",
    ],
)
def test_a_new_lesion_and_its_size_are_no_number(text: str) -> None:
    commands = read(text, VISIT).commands
    assert commands
    assert all(isinstance(each, AddFinding) for each in commands)


def test_without_earlier_lesions_nothing_is_different() -> None:
    for text in ("lesion two unchanged", "lesion one resolved", "same as last time", "unchanged"):
        assert not [
            each
            for each in read(text, NOWHERE).commands
            if isinstance(each, FollowLesion | ResolveLesion | LeaveLesion)
        ]


def test_a_number_that_no_lesion_has_is_told() -> None:
    said = why(read("lesion three same as last time", VISIT))
    assert said == "there is no open lesion 3: open are L1, L2, L12"
    assert "no open lesion 3" in why(read("refer lesion three", VISIT))


def test_a_word_that_sounds_like_the_number_is_asked_about() -> None:
    for text in ("lesion to same as last time", "lesion too unchanged"):
        command = followed(text)
        assert command.lesion == "s0/f2"
        assert command.doubt is not None
        assert "taken as the number 2" in command.doubt


def test_a_number_heard_weakly_or_otherwise_is_asked_about() -> None:
    weak = heard("lesion two same as last time", weak={"two": 0.7})
    (command,) = MATCHER.read(weak, VISIT).commands
    assert isinstance(command, FollowLesion)
    assert command.doubt == "the number “two” was not heard well"
    other = heard("lesion two same as last time", "lesion one same as last time")
    (command,) = MATCHER.read(other, VISIT).commands
    assert isinstance(command, FollowLesion)
    assert command.doubt == "another hearing of it gives number 1"
    sure = heard("lesion two same as last time")
    (command,) = MATCHER.read(sure, VISIT).commands
    assert isinstance(command, FollowLesion)
    assert command.doubt is None


def test_another_hearing_of_the_size_is_asked_about() -> None:
    other = heard("lesion one smaller fifteen millimetres", "lesion one smaller fifty millimetres")
    (command,) = MATCHER.read(other, VISIT).commands
    assert isinstance(command, FollowLesion)
    assert {each.field for each in command.needs_review} == {"size_mm"}


def test_without_a_number_only_one_lesion_may_be_meant() -> None:
    command = followed("same as last time", AT_TONGUE)
    assert command.lesion == "s0/f1"
    assert command.doubt == "no number was said: L1 is the only open one there"
    command = followed("smaller, six by four millimetres", AT_TONGUE)
    assert (command.lesion, command.fields.size_mm) == ("s0/f1", (6.0, 4.0))
    resolved = only("resolved", AT_TONGUE)
    assert isinstance(resolved, ResolveLesion)
    assert resolved.doubt is not None
    assert "say its number" in why(read("same as last time", VISIT))


def test_once_a_finding_is_dictated_there_the_words_are_about_that() -> None:
    last = FindingFields(region="tongue", side="left", kind="ulcer")
    here = Context(lesions=LESIONS, on=LATER, region="tongue", last=last)
    assert not isinstance(only("smaller, six by four millimetres", here), FollowLesion)


def test_a_finding_of_its_own_is_no_change_of_a_lesion() -> None:
    command = only("smaller ulcer on the left lateral border of the tongue", AT_TONGUE)
    assert isinstance(command, AddFinding)


def test_the_question_of_the_review_is_answered_without_a_number() -> None:
    asked = Context(lesions=LESIONS, on=LATER, reviewing=True, asked_lesion="s0/f2")
    assert followed("same as last time", asked).lesion == "s0/f2"
    assert followed("same as last time", asked).doubt is None
    assert only("resolved", asked) == ResolveLesion(lesion="s0/f2")
    assert why(read("same as last time", REVIEW))


@given(st.integers(1, 99))
@settings(max_examples=60, deadline=None)
def test_every_number_names_its_lesion(number: int) -> None:
    here = Context(lesions=(LesionToday(open_lesion(number), "not mentioned"),), on=LATER)
    words = num2words(number).replace("-", " ")
    assert followed(f"lesion {words} same as last time", here).lesion == f"s0/f{number}"
    assert followed(f"lesion {number} same as last time", here).lesion == f"s0/f{number}"


@given(
    st.lists(
        st.sampled_from(
            ["lesion", "two", "to", "resolved", "same", "by", "not", "refer", "in", "weeks"]
        )
    )
)
@settings(max_examples=150, deadline=None)
def test_any_jumble_of_the_words_is_survived(words: list[str]) -> None:
    for context in (VISIT, AT_TONGUE, REVIEW, NOWHERE):
        reading = read(" ".join(words), context)
        assert reading.kind in ("finding", "command", "normal", "ignored")


# Decisions


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("refer", Decide(target="last", decision="refer")),
        (
            "refer because the borders are rolled",
            Decide(target="last", decision="refer", reason="the borders are rolled"),
        ),
        (
            "refer to oral surgery",
            Decide(target="last", decision="refer", reason="to oral surgery"),
        ),
        ("biopsy advised", Decide(target="last", decision="biopsy")),
        ("no action, old scar", Decide(target="last", decision="no_action", reason="old scar")),
        ("re-check in two weeks", Decide(target="last", decision="recheck", due=date(2031, 4, 1))),
        (
            "recheck in ten days because of the denture",
            Decide(target="last", decision="recheck", due=date(2031, 3, 28), reason="the denture"),
        ),
        ("recheck in a month", Decide(target="last", decision="recheck", due=date(2031, 4, 18))),
        ("lesion one refer", Decide(target="s0/f1", decision="refer")),
        ("refer lesion one", Decide(target="s0/f1", decision="refer")),
        ("finding three biopsy", Decide(target="f3", decision="biopsy")),
    ],
)
def test_decisions_in_the_review(text: str, expected: Decide) -> None:
    assert only(text, REVIEW) == expected


def test_decisions_while_examining_need_a_finding_or_a_number() -> None:
    last = FindingFields(region="tongue", side="left", kind="ulcer")
    assert only("refer", Context(on=LATER, last=last)) == Decide(target="last", decision="refer")
    assert only("refer lesion two because it has grown") == Decide(
        target="s0/f2", decision="refer", reason="it has grown"
    )
    assert why(read("refer", NOWHERE))
    loose = read("refer them a letter", Context(on=LATER, last=last))
    assert not any(isinstance(each, Decide) for each in loose.commands)


@given(st.dates(date(1999, 1, 1), date(2100, 12, 31)), st.integers(0, 60))
def test_months_are_counted_as_dateutil_counts_them(day: date, months: int) -> None:
    assert months_after(day, months) == day + relativedelta(months=months)
