"""Spoken commands as real sound through the packaged engine: what they ask for happens."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from dictate.audio.source import RATE
from dictate.bench.synthesis import synthesise
from dictate.bench.voices import load_voices
from dictate.speech.heard import Utterance
from dictate.speech.packaged.engine import PackagedRecogniser
from dictate.tui.records_by_voice import ROW, NumberWords
from dictate.tui.screens.asking import SpokenAskingDialog
from dictate.tui.screens.examining import ExaminingScreen
from dictate.tui.screens.finding import FindingDialog
from dictate.tui.screens.marking import MarkingDialog, ReasonDialog
from dictate.tui.screens.reviewing import ReviewingScreen
from dictate.tui.spoken import SpokenForms
from tests.tui_samples import LEXICON, Scene, running

ROOT = Path(__file__).resolve().parents[1] / "recordings_synthetic"
Hear = Callable[[str, str], Utterance]
AMERICAN, BRITISH = "flite-rms", "espeak-gb-f"
COMMANDS = {
    "next region": "next_region",
    "go back one region": "previous_region",
    "undo that": "undo",
    "start review": "review",
    "show what was put aside": "set_aside",
    "open the finding": "edit",
    "keep it as heard": "keep",
    "mark this region": "mark",
    "leave the rest out": "leave_rest",
    "back to the examination": "to_examination",
    "leave the program": "leave",
}


@pytest.fixture(scope="module")
def hear() -> Hear:
    """Speaks with a synthetic voice of the development side, and listens."""
    voices = load_voices(ROOT / "voices.toml")
    engine = PackagedRecogniser(LEXICON)

    @cache
    def heard(text: str, voice: str) -> Utterance:
        speaker = voices.named(voice)
        assert speaker.split == "dev"
        sound = synthesise(text, speaker, 1.0, voices.say_for(speaker))
        quiet = np.zeros(int(0.35 * RATE), np.float32)
        engine.begin(0.0)
        engine.hear((np.concatenate([quiet, sound, quiet]) * 32767).astype(np.int16))
        utterance = engine.finish()
        assert utterance is not None
        return utterance

    return heard


@pytest.mark.parametrize("voice", [AMERICAN, BRITISH])
def test_commands_are_obeyed(hear: Hear, voice: str) -> None:
    forms, numbers = SpokenForms(LEXICON), NumberWords(LEXICON)
    heard = {phrase: forms.value(hear(phrase, voice)) for phrase in COMMANDS}
    assert heard == COMMANDS
    assert numbers.number(numbers.words(hear("option three", voice)), ROW) == 3


async def say(scene: Scene, hear: Hear, *texts: str) -> None:
    """As the listening thread gives it, at the time it is said."""
    for text in texts:
        utterance = hear(text, AMERICAN)
        start, length = scene.clock.now - 1000.0, utterance.end_s - utterance.start_s
        scene.clock.now += length
        await scene.say()
        scene.listening.report(replace(utterance, start_s=start, end_s=start + length))
        await scene.settle()


async def test_from_dictation_to_ready_to_sign_by_real_sound(hear: Hear) -> None:
    async with running() as scene:
        dictated = "white plaque, left lateral border of the tongue, ten by six millimetres"
        await say(scene, hear, dictated, "go to the lips", "mark this region")
        assert isinstance(scene.app.screen, MarkingDialog)
        await say(scene, hear, "within normal limits", "start review", "leave the rest out")
        assert isinstance(scene.app.screen, ReasonDialog)
        await say(scene, hear, "patient declined", "yes")
        assert isinstance(scene.app.screen, ReviewingScreen)
        for _ in range(12):
            review = scene.session.review
            assert review is not None
            if review.complete:
                break
            await say(scene, hear, "yes")
        assert "EVERYTHING IS DECIDED" in scene.words()
        (finding,) = scene.session.findings
        assert (finding.region, finding.side, finding.kind) == ("tongue", "left", "plaque")
        assert finding.size_mm == (10.0, 6.0)
        assert not scene.session.is_final
        assert set(scene.session.state.acknowledged.values()) == {"patient declined"}
        await say(scene, hear, "back to the examination", "open finding one")
        assert isinstance(scene.app.screen, FindingDialog)
        await say(scene, hear, "close", "leave the program")
        assert isinstance(scene.app.screen, SpokenAskingDialog)
        await say(scene, hear, "no")
        assert isinstance(scene.app.screen, ExaminingScreen)
