"""Reading back aloud: off until asked for, and deaf to its own voice."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from pathlib import Path

from dictate.tui.aloud import Aloud, find_speaker
from tests.tui_samples import PLAQUE, running

SCRIPT = "import sys, time; open({path!r}, 'a').write(sys.stdin.read()); time.sleep({seconds})"


def speaker(path: Path, seconds: float = 0.0) -> Aloud:
    """A synthesiser that writes what it is given to a file and takes its time."""
    return Aloud(command=(sys.executable, "-c", SCRIPT.format(path=str(path), seconds=seconds)))


def wait_for(condition: Callable[[], bool]) -> None:
    for _ in range(500):
        if condition():
            return
        time.sleep(0.02)
    raise AssertionError("it never came true")


async def test_it_is_off_until_the_key_is_pressed(tmp_path: Path) -> None:
    said = tmp_path / "said"
    async with running(aloud=speaker(said)) as scene:
        await scene.say(PLAQUE)
        await scene.press("v")
        assert not said.exists()
        await scene.press("o")
        assert "Reading aloud is on" in scene.words()
        wait_for(lambda: said.exists() and "10 by 6 mm white plaque" in said.read_text())


async def test_what_is_said_while_it_speaks_is_not_taken_as_an_answer(tmp_path: Path) -> None:
    async with running(aloud=speaker(tmp_path / "said", seconds=60)) as scene:
        await scene.say(PLAQUE, "start review")
        await scene.press("o")
        assert "READING ALOUD" in scene.shown()
        before = scene.session.review
        await scene.say("yes")
        assert scene.session.review == before
        assert "not heard while reading aloud" in scene.words()
        await scene.press("o")
        assert "● LISTENING" in scene.shown()
        await scene.say("yes")
        assert scene.session.review != before


async def test_speech_that_began_under_the_voice_is_not_taken_either(tmp_path: Path) -> None:
    async with running(aloud=speaker(tmp_path / "said", seconds=60)) as scene:
        await scene.say(PLAQUE, "start review")
        await scene.press("o")
        before = scene.session.review
        scene.clock.now += 0.5
        await scene.press("o")
        scene.clock.now -= 0.4
        await scene.say("yes")
        assert scene.session.review == before


async def test_without_a_synthesiser_the_key_says_so() -> None:
    async with running() as scene:
        await scene.press("o")
        assert "No speech synthesiser" in scene.words()


def test_a_new_text_cuts_the_old_one_short(tmp_path: Path) -> None:
    aloud = speaker(tmp_path / "said", seconds=60)
    aloud.start("one")
    first = aloud._process
    aloud.start("two")
    assert first is not None
    assert first.poll() is not None
    assert aloud.speaking()
    aloud.stop()
    assert not aloud.speaking()


def test_a_synthesiser_that_fails_at_once_does_no_harm() -> None:
    aloud = Aloud(command=("/bin/false",))
    aloud.start("words " * 10_000)
    wait_for(lambda: not aloud.speaking())
    missing = Aloud(command=("/nonexistent/voice",))
    missing.start("words")
    assert not missing.speaking()


def test_a_real_synthesiser_is_found_and_never_gets_text_as_an_argument() -> None:
    command = find_speaker()
    assert command is not None
    assert "espeak-ng" in command[0]
    assert "--stdin" in command
