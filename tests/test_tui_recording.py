"""The whole way: a recording that ships, the real engine, the real screen, a real store."""

from __future__ import annotations

import asyncio
from pathlib import Path

from dictate.audio.wav import open_recording
from dictate.pipeline.listening import ListeningThread
from dictate.pipeline.opening import new_examination
from dictate.speech.engines import choose_engine
from dictate.store.store import Store
from dictate.tui.aloud import Aloud
from dictate.tui.app import ExamApp
from dictate.tui.ports import Report
from tests.tui_samples import LARGE, LEXICON, terminal_text

DEMO = Path(__file__).resolve().parents[1] / "recordings_synthetic" / "demo_examination.flac"


def listening(report: Report) -> ListeningThread:
    """The demonstration as fast as the engine reads it."""
    return ListeningThread(
        report, lambda _: open_recording(DEMO), lambda: choose_engine("packaged", None, LEXICON)
    )


async def test_a_recording_becomes_findings_on_the_screen_and_in_the_store(tmp_path: Path) -> None:
    with Store(tmp_path) as store:
        examination = new_examination(store, LEXICON, engine="packaged", patient=None)
        app = ExamApp(examination, LEXICON, listening, aloud=Aloud(command=None))
        async with app.run_test(size=LARGE) as pilot:
            for _ in range(2400):
                if app.hearing.state == "ended":
                    break
                await asyncio.sleep(0.1)
            await pilot.pause()
            text = terminal_text(app)
        assert "RECORDING ENDED" in text
        # The recording says of this node: left, level two, twelve millimetres (its manifest).
        nodes = [each for each in examination.session.findings if each.node_level == "II"]
        assert [(each.side, each.size_mm) for each in nodes] == [("left", (12.0,))]
        assert "12 mm" in text
        assert examination.problem is None
