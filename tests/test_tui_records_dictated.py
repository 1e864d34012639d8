"""Answers and amendments put together by voice; a name typed by hand makes them."""

from __future__ import annotations

from datetime import timedelta

import pytest
from textual.widgets import Input

from dictate.store.store import Store
from dictate.tui.screens.amending import AddedDialog, AmendedFieldsDialog, AmendingScreen
from dictate.tui.screens.answer import AnswerScreen
from dictate.tui.screens.deciding import DecisionDialog
from dictate.tui.screens.lesion import LesionScreen
from dictate.tui.screens.record import RecordScreen
from dictate.tui.screens.writing import WritingDialog
from tests.records_samples import TODAY, beside
from tests.tui_samples import Scene, on_top
from tests.visit_samples import days


def field(scene: Scene, name: str) -> Input:
    return scene.app.screen.query_one(f"#{name}", Input)


def told_of_the_chair(scene: Scene) -> str:
    """Everything that the examination going on has kept of what was said."""
    return " | ".join(each.text for each in scene.session.utterances)


async def test_an_answer_is_dictated_and_recorded_by_a_typed_name(store: Store) -> None:
    async with beside(store) as scene:
        await scene.say("show the worklist", "row two", "record the answer")
        assert on_top(scene, AnswerScreen)
        await scene.say("biopsy shows keratosis", "no dysplasia was seen")
        assert field(scene, "words").value == "biopsy shows keratosis no dysplasia was seen"
        await scene.say("undo")
        assert field(scene, "words").value == "biopsy shows keratosis"
        await scene.say("yes", "confirm", "start review")
        assert field(scene, "words").value == "biopsy shows keratosis"
        await scene.say("next", "two days ago", "next", "in six weeks", "next", "a berg")
        assert field(scene, "on").value == str(TODAY - days(2))
        assert field(scene, "recheck").value == str(TODAY + timedelta(weeks=6))
        assert field(scene, "by").value == ""
        assert "who records it is typed" in scene.words()
        await scene.say("yes", "save")
        assert on_top(scene, AnswerScreen)
        assert store.load("s1-P-2").version == 1
        await scene.write("A. Berg")
        await scene.press("ctrl+s")
        assert on_top(scene, LesionScreen)
        assert "keratosis" not in told_of_the_chair(scene)
    session = store.load("s1-P-2")
    assert session.version == 2
    (given,) = session.state.following.answers
    assert (given.answer, given.on) == ("biopsy shows keratosis", TODAY - days(2))
    assert given.recheck == TODAY + timedelta(weeks=6)


async def test_listening_is_paused_and_resumed_over_the_records(store: Store) -> None:
    async with beside(store) as scene:
        await scene.say("show the worklist", "row two", "record the answer", "pause listening")
        assert scene.session.paused
        await scene.say("biopsy shows keratosis", "close")
        assert field(scene, "words").value == ""
        await scene.say("resume listening", "biopsy shows keratosis")
        assert not scene.session.paused
        assert field(scene, "words").value == "biopsy shows keratosis"


@pytest.mark.parametrize(
    ("said", "on"),
    [("today", 0), ("yesterday", 1), ("one week ago", 7), ("white plaque", 0), ("six weeks", 0)],
)
async def test_the_day_it_came_lies_back(store: Store, said: str, on: int) -> None:
    async with beside(store) as scene:
        await scene.say("show the worklist", "row two", "record the answer", "next", said)
        assert field(scene, "on").value == str(TODAY - days(on))


async def test_words_that_do_not_fit_are_left_out_whole(store: Store) -> None:
    async with beside(store) as scene:
        await scene.say("show the worklist", "row two", "record the answer")
        field(scene, "words").value = "x" * 490
        await scene.say("no dysplasia was seen at all")
        assert field(scene, "words").value == "x" * 490
        assert "Not taken" in scene.words()


async def amending(scene: Scene) -> None:
    await scene.say("show the worklist", "row two", "open it", "amend this record")
    assert on_top(scene, AmendingScreen)


async def test_a_field_is_amended_by_voice_and_made_by_a_typed_name(store: Store) -> None:
    async with beside(store) as scene:
        await amending(scene)
        await scene.say("row one")
        assert on_top(scene, AmendedFieldsDialog)
        await scene.say("size")
        assert on_top(scene, WritingDialog)
        await scene.say("twelve by six millimetres")
        assert "= 12 × 6 mm" in scene.words()
        await scene.say("yes", "close")
        assert on_top(scene, AmendingScreen)
        assert "f1 size: 10 by 6 mm -> 12 by 6 mm" in scene.words()
        await scene.say("next", "the ruler was misread", "next", "b holm", "yes")
        assert field(scene, "why").value == "the ruler was misread"
        assert field(scene, "by").value == ""
        assert store.load("s1-P-2").version == 1
        await scene.write("B. Holm")
        await scene.press("ctrl+s")
        assert on_top(scene, RecordScreen)
        assert "12 by 6 mm" in scene.words()
        for words in ("twelve by six", "misread"):
            assert words not in told_of_the_chair(scene)
        assert not scene.session.findings
    assert store.load("s1-P-2").findings[0].size_mm == (12.0, 6.0)


async def test_a_value_heard_badly_is_not_taken_by_a_yes_heard_badly(store: Store) -> None:
    async with beside(store) as scene:
        await amending(scene)
        await scene.say("row one", "side", "right")
        await scene.say("yes", confidence=0.2)
        assert "not heard well" in scene.app.desk.notice.text
        await scene.say("close", "close")
        assert "Nothing is changed yet" in scene.words()


async def test_striking_out_deciding_and_adding_by_voice(store: Store) -> None:
    async with beside(store) as scene:
        await amending(scene)
        await scene.say("delete that finding", confidence=0.2)
        assert "struck out" not in scene.words()
        await scene.say("delete that finding")
        assert "f1: struck out" in scene.words()
        await scene.say("delete that finding", "show the decision")
        assert on_top(scene, DecisionDialog)
        await scene.say("recheck in two weeks because it is smaller", "yes")
        assert "f1: re-check, it is smaller" in scene.words()
        await scene.say("ulcer on the right buccal mucosa four millimetres")
        assert on_top(scene, AddedDialog)
        assert "heard: “ulcer on the right buccal mucosa" in scene.words()
        await scene.say("yes")
        assert "added: Right buccal mucosa: one 4 mm ulcer" in scene.words()
        await scene.say("undo", "lovely weather today")
        assert "added:" not in scene.words()
        assert not scene.session.findings
        assert scene.session.set_aside[-1].text == "lovely weather today"
        assert "it is smaller" not in told_of_the_chair(scene)
    assert store.load("s1-P-2").version == 1
