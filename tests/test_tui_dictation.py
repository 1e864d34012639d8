"""From dictation to a signed record on the screen, by voice all but the signature."""

from __future__ import annotations

import pytest

from dictate.speech.heard import Partial
from dictate.speech.listener import Lost, NotUnderstood
from dictate.tui.screens.reviewing import ReviewingScreen
from dictate.tui.screens.signing import SigningDialog
from tests.tui_samples import LARGE, PLAQUE, SMALL, ULCER, Scene, running


@pytest.mark.parametrize("size", [SMALL, LARGE])
async def test_findings_appear_as_they_are_dictated(size: tuple[int, int]) -> None:
    async with running(size) as scene:
        assert "No findings yet" in scene.shown()
        await scene.say(PLAQUE, ULCER)
        text = scene.shown()
        assert "2 findings" in text
        for word in ("LEFT", "lateral border", "10 × 6 mm", "white plaque", "RIGHT", "15 mm"):
            assert word in text


async def test_live_words_are_shown_and_then_what_was_made_of_them() -> None:
    async with running() as scene:
        scene.listening.report(Partial("white plaque left lat", 0.0))
        await scene.settle()
        assert "… white plaque left lat" in scene.shown()
        await scene.say(
            PLAQUE, "buccal mucosa within normal limits", "next region", "lovely weather"
        )
        text = scene.shown()
        assert "white plaque left lat…" not in text
        assert "✓ normal" in text
        assert "› command" in text
        assert "– aside" in text
        assert "1 aside" in text


async def test_speech_without_words_and_lost_sound_are_told() -> None:
    async with running() as scene:
        scene.listening.report(NotUnderstood(1.0, 2.0))
        await scene.settle()
        assert "no word of it was understood" in scene.shown()
        scene.listening.report(Lost(3.0, 0.5))
        await scene.settle()
        assert "0.5 s of sound never arrived" in scene.shown()


async def test_many_partials_between_two_frames_reach_the_screen_as_one() -> None:
    async with running() as scene:
        posted: list[object] = []
        post = scene.app._bridge._post
        scene.app._bridge._post = lambda message: (posted.append(message), post(message))[1]
        for number in range(500):
            scene.listening.report(Partial(f"white plaque {number}", 0.0))
        await scene.settle()
        assert len(posted) < 10
        assert "white plaque 499" in scene.shown()


async def test_voice_alone_goes_from_dictation_to_the_signature_and_not_further() -> None:
    async with running() as scene:
        await scene.say(PLAQUE, "face within normal limits", "start review")
        assert isinstance(scene.app.screen, ReviewingScreen)
        await answer_all(scene)
        assert "EVERYTHING IS DECIDED" in scene.shown()
        for said in ("yes", "confirm", "save", "sign it Anna Example"):
            await scene.say(said)
        assert not scene.session.is_final
        await answer_all(scene)

        await scene.press("enter")
        assert isinstance(scene.app.screen, SigningDialog)
        await scene.say("A X")
        assert not scene.session.is_final
        await scene.write("A X")
        await scene.press("enter")
        assert scene.session.is_final
        assert scene.session.examiner == "A X"
        assert "FINAL, A X" in scene.shown()


async def answer_all(scene: Scene) -> None:
    for _ in range(60):
        review = scene.session.review
        assert review is not None
        if review.complete:
            return
        await scene.say("yes")


async def test_every_event_is_kept_before_it_is_shown() -> None:
    async with running() as scene:
        await scene.say(PLAQUE)
        await scene.press("u")
        kept = scene.keeper.events
        assert [event.seq for event in kept] == [event.seq for event in scene.session.events[1:]]


async def test_a_record_that_cannot_be_kept_is_told_until_it_can() -> None:
    async with running() as scene:
        scene.keeper.broken = True
        await scene.say(PLAQUE)
        assert "the disk is full" in scene.shown()
        assert len(scene.session.findings) == 1
        scene.keeper.broken = False
        await scene.say(ULCER)
        assert "the disk is full" not in scene.shown()
        assert scene.keeper.events[-1].seq == scene.session.events[-1].seq
