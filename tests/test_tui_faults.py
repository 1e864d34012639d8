"""Faults of the program itself lose no finding and print nothing of the patient."""

from __future__ import annotations

import pytest

from dictate.exam.commands import StartReview
from dictate.exam.events import KEYBOARD
from dictate.exam.session import Session
from dictate.matching.matcher import Matcher
from dictate.pipeline.examination import Examination
from dictate.pipeline.listening import Deaf
from dictate.tui.aloud import Aloud
from dictate.tui.app import ExamApp
from dictate.tui.obituary import obituary
from dictate.tui.screens.examining import ExaminingScreen
from dictate.tui.screens.reviewing import ReviewingScreen
from tests.tui_samples import LEXICON, PLAQUE, START, ULCER, running, spoken, terminal_text


async def test_words_that_break_the_matcher_are_put_aside_and_work_goes_on(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    read = Matcher.read

    def broken(self: Matcher, utterance: object, context: object) -> object:
        if "ulcer" in utterance.text:  # type: ignore[attr-defined]
            raise KeyError("secret words of the patient")
        return read(self, utterance, context)  # type: ignore[arg-type]

    monkeypatch.setattr(Matcher, "read", broken)
    async with running() as scene:
        await scene.say(ULCER, PLAQUE)
        assert scene.session.set_aside[0].text == ULCER
        assert "failed on these words (KeyError)" in scene.session.set_aside[0].why
        assert len(scene.session.findings) == 1


async def test_deafness_is_told_on_a_dialog_that_covers_the_status_line() -> None:
    async with running() as scene:
        await scene.say(PLAQUE)
        await scene.press("e")
        assert "● LISTENING" in scene.words()
        scene.listening.report(Deaf("the microphone was unplugged; plug it in again"))
        await scene.settle()
        assert "NOT HEARING: the microphone was unplugged" in scene.words()


@pytest.mark.parametrize("size", [(40, 10), (20, 5), (300, 90)])
async def test_odd_terminal_sizes_do_no_harm(size: tuple[int, int]) -> None:
    async with running(size) as scene:
        await scene.say(PLAQUE)
        for key in ("e", "escape", "question_mark", "escape", "v", "y", "escape"):
            await scene.press(key)
        assert isinstance(scene.app.screen, ExaminingScreen)


async def test_a_draft_that_was_in_review_opens_in_review_with_its_words() -> None:
    examination = Examination(Session.start("s1", LEXICON, START), Matcher(LEXICON))
    examination.hear(spoken(PLAQUE))
    examination.do(StartReview(), KEYBOARD)
    resumed = Examination(Session.from_events(examination.session.events), Matcher(LEXICON))
    app = ExamApp(resumed, LEXICON, aloud=Aloud(command=None))
    async with app.run_test(size=(160, 45)) as pilot:
        await pilot.pause()
        await pilot.pause()
        assert isinstance(app.screen, ReviewingScreen)
        assert "10 × 6 mm" in terminal_text(app)
        assert "white plaque left lateral border" in terminal_text(app)


def test_what_is_printed_after_a_fault_names_places_and_no_data() -> None:
    def fails() -> None:
        patient = "somebody with a white plaque"
        raise ValueError(patient)

    with pytest.raises(ValueError, match="somebody") as caught:
        fails()
    text = obituary(caught.value)
    assert "ValueError" in text
    assert "in fails" in text
    assert "--resume" in text
    assert "plaque" not in text


async def test_a_fault_of_the_screen_closes_it_without_printing_variables() -> None:
    app = ExamApp(
        Examination(Session.start("s1", LEXICON, START), Matcher(LEXICON)),
        LEXICON,
        aloud=Aloud(command=None),
    )
    printed: list[str] = []

    def break_it() -> None:
        secret = "white plaque of somebody"
        raise RuntimeError(secret)

    async def run() -> None:
        async with app.run_test() as pilot:
            app.panic = lambda *texts: printed.extend(map(str, texts))  # type: ignore[method-assign]
            app.call_later(break_it)
            await pilot.pause()

    with pytest.raises(RuntimeError):
        await run()
    assert "break_it" in printed[0]
    assert "plaque" not in printed[0]
