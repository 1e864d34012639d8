"""At the start of a visit: open lesions first; and decisions in a dialog, by key and by voice."""

from __future__ import annotations

from datetime import date

import pytest
from textual.widgets import Input

from dictate.store.store import Store
from dictate.tui.screens.deciding import DecisionDialog
from dictate.tui.screens.earlier import EarlierDialog
from dictate.tui.screens.examining import ExaminingScreen
from dictate.tui.screens.lesion import LesionScreen
from dictate.tui.screens.reviewing import ReviewingScreen
from dictate.tui.widgets.earlier_panel import EarlierPanel
from tests.records_samples import beside
from tests.tui_samples import LARGE, SMALL, Scene
from tests.visit_samples import days

HARD = "ulcer right lateral border of the tongue eight millimetres indurated for four weeks"


def decision(scene: Scene) -> tuple[str, str, date | None] | None:
    made = scene.session.decision("f1")
    return (made.decision, made.reason, made.due) if made else None


@pytest.mark.parametrize("size", [SMALL, LARGE])
async def test_open_lesions_come_first_until_each_was_spoken_of(
    store: Store, size: tuple[int, int]
) -> None:
    async with beside(store, size) as scene:
        text = scene.words()
        assert "OPEN FROM EARLIER VISITS: 1 lesion to look at" in text
        assert "L1 LEFT lateral border, tongue: plaque 6 × 4 mm on 2031-03-18" in text
        await scene.say("go to the tongue")
        assert "▶ L1 LEFT" in scene.words()
        await scene.say("lesion one smaller, five by three millimetres")
        assert "OPEN FROM EARLIER VISITS" not in scene.words()
        assert not scene.app.screen.query_one(EarlierPanel).display
        await scene.say("undo")
        assert "OPEN FROM EARLIER VISITS" in scene.words()


async def test_what_became_of_a_lesion_is_told_by_key(store: Store) -> None:
    async with beside(store, LARGE) as scene:
        await scene.press("l")
        assert "to look at" in scene.words()
        await scene.press("s")
        assert scene.session.lesions[0].status == "same"
        assert "✓ same 6 × 4 mm" in scene.words()
        await scene.press("s")
        assert "L1 was recorded today as f1" in scene.words()
        await scene.press("u", "c")
        await scene.write("5 x 3")
        await scene.press("enter")
        finding = scene.session.lesions[0].finding
        assert finding is not None
        assert finding.size_mm == (5.0, 3.0)
        assert finding.side == "left"
        await scene.press("u", "r")
        assert scene.session.lesions[0].status == "resolved"
        await scene.press("u", "x")
        await scene.write("would not open")
        await scene.press("enter")
        assert scene.session.lesions[0].reason == "would not open"
        await scene.press("enter")
        assert isinstance(scene.app.screen, LesionScreen)
        await scene.press("escape", "escape")
        assert isinstance(scene.app.screen, ExaminingScreen)


async def test_the_list_of_open_lesions_is_opened_by_voice_and_hears_dictation(
    store: Store,
) -> None:
    async with beside(store) as scene:
        await scene.say("show the open lesions", "lesion one same as last time")
        assert isinstance(scene.app.screen, EarlierDialog)
        assert scene.session.lesions[0].status == "same"
        await scene.say("close")
        assert isinstance(scene.app.screen, ExaminingScreen)


@pytest.mark.parametrize("size", [SMALL, LARGE])
async def test_a_decision_by_key_shows_the_rules_that_are_met_and_wants_a_reason(
    store: Store, size: tuple[int, int]
) -> None:
    async with beside(store, size, patient=None) as scene:
        await scene.say(HARD)
        await scene.press("c")
        text = scene.words()
        assert isinstance(scene.app.screen, DecisionDialog)
        assert "! should not wait:" in text
        assert "refer or evaluate further" in text
        await scene.press("ctrl+s")
        assert "Choose what is decided" in scene.words(), "no prompt decides anything"
        await scene.press("down", "down", "down", "enter", "ctrl+s")
        assert "Give the reason" in scene.words()
        assert decision(scene) is None
        await scene.press("shift+tab", "shift+tab", "up", "enter")
        await scene.write("2031-03-22")
        await scene.press("enter")
        await scene.write("seen by the surgeon tomorrow")
        await scene.press("enter")
        assert decision(scene) == ("recheck", "seen by the surgeon tomorrow", date(2031, 3, 22))
        assert scene.session.state.following.decisions["f1"].doubt is None
        await scene.press("c")
        assert "Decided: re-check on 22 March 2031" in scene.words()


async def test_a_spoken_decision_is_shown_then_taken_by_a_yes_and_read_back(
    store: Store,
) -> None:
    async with beside(store, patient=None) as scene:
        await scene.say(HARD, "show the decision")
        assert isinstance(scene.app.screen, DecisionDialog)
        await scene.say("confirm")
        assert "Say the decision first" in scene.words()
        await scene.say("refer because it is indurated")
        assert decision(scene) is None, "shown, not recorded"
        assert "(•) refer" in scene.words()
        assert scene.app.screen.query_one("#reason", Input).value == "it is indurated"
        await scene.say("confirm")
        found = decision(scene)
        assert found is not None
        assert found[:2] == ("refer", "it is indurated")
        assert scene.session.state.following.decisions["f1"].doubt == "said by voice"
        assert len(scene.session.findings) == 1


async def test_a_decision_said_of_another_finding_or_too_early_is_not_taken(
    store: Store,
) -> None:
    async with beside(store, patient=None) as scene:
        await scene.say(HARD, "show the decision", "refer finding two because it has grown")
        assert "(•)" not in scene.words()
        assert [each.text for each in scene.session.set_aside] == [
            "refer finding two because it has grown"
        ]
        screen = scene.app.screen
        assert isinstance(screen, DecisionDialog)
        screen.opened_at = scene.clock.now + 60
        await scene.say("no action because it is nothing")
        assert "(•)" not in scene.words()


async def test_the_review_asks_for_the_decision_in_the_dialog(store: Store) -> None:
    async with beside(store, patient=None) as scene:
        await scene.say(HARD)
        await scene.press("v")
        for _ in range(60):
            review = scene.session.review
            assert review is not None
            if review.current is None or review.current.kind == "decision":
                break
            await scene.press("y")
        await scene.press("c")
        assert isinstance(scene.app.screen, DecisionDialog)
        await scene.say("re check in one week because the ulcer is from a sharp tooth", "confirm")
        assert isinstance(scene.app.screen, ReviewingScreen)
        review = scene.session.review
        assert review is not None
        assert review.current is not None
        assert "Heard: re-check on 28 March 2031" in review.current.text
        await scene.say("yes")
        assert scene.session.review is not None
        assert scene.session.review.complete
        found = decision(scene)
        assert found is not None
        assert found[2] == scene.session.examined_on + days(7)


async def test_one_side_only_is_pointed_out_on_the_screen_and_before_signing(
    store: Store,
) -> None:
    async with beside(store, patient=None) as scene:
        await scene.say("go to the tongue", HARD)
        assert "left side not mentioned" in scene.words()
        await scene.say("next region")
        assert "only the right side was mentioned, not the left" in scene.words()
        await scene.press("v")
        for _ in range(60):
            review = scene.session.review
            assert review is not None
            if review.current is None:
                break
            if review.current.kind == "decision":
                await scene.say("refer because it is indurated")
            await scene.press("y")
        assert "! Of the tongue only the right side was mentioned" in scene.words()
