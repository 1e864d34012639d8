"""The screen says whether it hears, and why not, and never waits for the engine."""

from __future__ import annotations

import threading
import time

from dictate.audio.level import Level
from dictate.pipeline.listening import Deaf, Ended
from dictate.tui.aloud import Aloud
from dictate.tui.app import ExamApp
from dictate.tui.ports import Report
from dictate.tui.widgets.level_meter import LevelMeter, bar
from tests.tui_samples import LEXICON, PLAQUE, HandFed, examination, running


def level(db: float, clipped: bool = False) -> Level:
    return Level(0.0, db, db + 6, clipped)


async def test_loading_then_listening_with_a_level() -> None:
    async with running() as scene:
        assert "LOADING MODEL" in scene.shown()
        scene.listening.report(level(-20.0))
        await scene.settle()
        assert "● LISTENING" in scene.shown()
        assert "█" in scene.shown()


async def test_a_microphone_set_too_high_is_told_in_words() -> None:
    async with running() as scene:
        scene.listening.report(level(-1.0, clipped=True))
        await scene.settle()
        assert "TOO LOUD" in scene.shown()


async def test_deafness_is_told_with_its_cause_and_hearing_comes_back() -> None:
    async with running() as scene:
        scene.listening.report(level(-30.0))
        scene.listening.report(Deaf("the microphone was unplugged; plug it in again"))
        await scene.settle()
        assert "✕ NOT HEARING" in scene.shown()
        assert "the microphone was unplugged" in scene.words()
        await scene.type_line(PLAQUE)
        assert len(scene.session.findings) == 1
        scene.listening.report(level(-30.0))
        await scene.settle()
        assert "● LISTENING" in scene.shown()
        assert "unplugged" not in scene.words()


async def test_a_listening_that_falls_silent_is_called_deaf_within_two_seconds() -> None:
    async with running() as scene:
        scene.listening.report(level(-30.0))
        await scene.settle()
        scene.clock.now += 1.0
        scene.app.watch_hearing()
        assert "● LISTENING" in scene.shown()
        scene.clock.now += 0.7
        scene.app.watch_hearing()
        await scene.settle()
        assert "NOT HEARING" in scene.shown()


async def test_the_end_of_a_recording_is_told() -> None:
    async with running() as scene:
        scene.listening.report(level(-30.0))
        scene.listening.report(Ended())
        await scene.settle()
        scene.clock.now += 60
        scene.app.watch_hearing()
        await scene.settle()
        assert "RECORDING ENDED" in scene.shown()


class StuckLoading(HandFed):
    """A listening whose thread loads a model for ever."""

    def __init__(self, report: Report) -> None:
        super().__init__(report)
        self.over = threading.Event()
        self.thread = threading.Thread(target=self.over.wait, daemon=True)

    def start(self) -> None:
        self.thread.start()


async def test_leaving_while_the_model_loads_is_prompt() -> None:
    app = ExamApp(examination(), LEXICON, StuckLoading, aloud=Aloud(command=None))
    async with app.run_test() as pilot:
        await pilot.press("q", "y")
        left = time.monotonic()
    assert time.monotonic() - left < 5
    listening = app.listening
    assert isinstance(listening, StuckLoading)
    assert listening.stopped
    assert listening.thread.is_alive()
    listening.over.set()


async def test_reports_after_the_end_do_no_harm() -> None:
    async with running() as scene:
        listening = scene.listening
    listening.report(level(-20.0))
    listening.report(Deaf("gone"))
    assert listening.stopped


async def test_reports_from_another_thread_all_arrive_in_order() -> None:
    async with running() as scene:

        def talk() -> None:
            from tests.tui_samples import spoken

            for number in ("two", "three", "four", "five"):
                scene.listening.report(spoken(f"ulcer left tongue {number} millimetres"))

        thread = threading.Thread(target=talk)
        thread.start()
        thread.join()
        await scene.settle()
        await scene.settle()
        assert [each.size_mm for each in scene.session.findings] == [(2.0,), (3.0,), (4.0,), (5.0,)]


async def test_the_meter_rests_when_nothing_is_measured() -> None:
    async with running() as scene:
        scene.listening.report(level(-10.0))
        scene.listening.report(Deaf("unplugged"))
        await scene.settle()
        assert not scene.app.screen.query_one(LevelMeter).display


def test_the_bar_grows_with_loudness_and_keeps_its_width() -> None:
    bars = [bar(db) for db in (-96.0, -60.0, -40.0, -20.0, -6.0, 0.0)]
    assert {len(each) for each in bars} == {8}
    assert bars[0] == "·" * 8
    assert bars[-1] == "█" * 8
    assert [each.count("█") for each in bars] == sorted(each.count("█") for each in bars)
