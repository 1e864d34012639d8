"""Everyday talk makes no finding."""

from __future__ import annotations

import pytest

from dictate.exam.commands import AddDetail, AddFinding, GoTo, MarkRegion
from dictate.matching.reading import Context
from tests.matching_helpers import AFTER_ULCER, MATCHER, found, heard, read

TALK = [
    "open wide please",
    "open your mouth wide for me",
    "turn your head to the left",
    "turn to the right",
    "does that hurt",
    "is it tender",
    "is there any pain",
    "any pain there",
    "any swelling in the neck",
    "stick out your tongue",
    "stick your tongue out and move it to the left",
    "put your tongue to the roof of your mouth",
    "lift your tongue",
    "how long has that been there",
    "how long have you had the ulcer on your tongue",
    "have you had any white patches",
    "have you noticed any lumps in your neck",
    "do you smoke",
    "do you have a sore throat",
    "when did you first notice the lump",
    "can you feel this on the left",
    "could you swallow for me",
    "let me have a look at the floor of your mouth",
    "let me feel your neck",
    "I'm just going to feel your neck now",
    "I am going to look at the tongue",
    "we will take a photo of the tongue",
    "tell me if anything hurts",
    "just relax your lips",
    "bite together gently",
    "that's great thank you",
    "well done nearly finished",
    "what did you do at the weekend",
    "the next patient is at half past three",
    "there are thirty chairs in the hall",
    "we'll be finished in about ten minutes",
    "my dog ate the newspaper again",
    "I saw your sister in town last week",
    "could you pass me the mirror",
    "turn the light a bit to the left",
    "the suction is on the right",
    "it is a nice area to live in",
    "he left two weeks ago",
    "left a message for you",
    "that's right",
    "all right",
    "right",
    "one two three testing",
    "is this thing on",
    "you've got a small ulcer on your tongue, nothing to worry about",
    "there is nothing wrong with your tongue",
    "good morning how are you",
    "um",
    "thanks",
]


@pytest.mark.parametrize("text", TALK)
def test_talk_is_put_aside_with_a_reason(text: str) -> None:
    reading = read(text)
    assert reading.kind == "ignored", reading.commands
    assert reading.commands == ()
    assert reading.why


@pytest.mark.parametrize("text", TALK)
def test_talk_records_nothing_after_a_finding(text: str) -> None:
    recorded = [
        each
        for each in read(text, AFTER_ULCER).commands
        if isinstance(each, AddFinding | AddDetail | MarkRegion | GoTo)
    ]
    assert recorded == []


@pytest.mark.parametrize(
    "text",
    [
        "you can see a white plaque on the left buccal mucosa",
        "there is a white plaque on the left buccal mucosa",
        "ok so now a white plaque on the left buccal mucosa",
        "um a white plaque er on the left buccal mucosa",
        "we have a white plaque on the left buccal mucosa",
        "please note a white plaque on the left buccal mucosa",
    ],
)
def test_dictation_with_words_of_talk_is_recorded(text: str) -> None:
    assert found(read(text)) == [
        {"region": "buccal mucosa", "side": "left", "kind": "plaque", "colours": ["white"]}
    ]


def test_what_did_not_sound_like_dictation_is_put_aside() -> None:
    utterance = heard("ulcer on the left tongue", dictation=0.1)
    reading = MATCHER.read(utterance, Context())
    assert reading.kind == "ignored"
    assert "dictation" in reading.why


def test_what_hardly_sounded_like_dictation_is_asked_about() -> None:
    utterance = heard("ulcer on the left lateral tongue five millimetres", dictation=0.4)
    (command,) = MATCHER.read(utterance, Context()).commands
    assert isinstance(command, AddFinding)
    assert {"region", "side", "size_mm"} <= {each.field for each in command.needs_review}


@pytest.mark.parametrize("text", ["", " ", "...", "?!", "—", "🦷", "\x00"])
def test_nothing_said_is_nothing_done(text: str) -> None:
    assert read(text).kind == "ignored"
