"""Everything but signing by voice alone: opening, closing, exporting, taking up, leaving out."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from dictate.export.formats import WRITERS
from dictate.pipeline.listening import Behind, Deaf
from dictate.speech.listener import Lost, NotUnderstood
from dictate.tui.aloud import Aloud
from dictate.tui.desk import tidy
from dictate.tui.screens.aside import AsideDialog
from dictate.tui.screens.examining import ExaminingScreen
from dictate.tui.screens.exporting import ExportDialog
from dictate.tui.screens.finding import SpokenDraftDialog
from dictate.tui.screens.helping import HelpDialog
from dictate.tui.screens.marking import ReasonDialog
from dictate.tui.screens.reviewing import ReviewingScreen
from dictate.tui.screens.signing import SigningDialog
from tests.tui_samples import PLAQUE, ULCER, Scene, running

NAMED = {"txt": WRITERS["text"], "json": WRITERS["json"]}
TALK = "lovely weather today"


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("HOME", str(tmp_path))
    return tmp_path


async def test_a_summary_is_exported_by_voice_and_overwrites_nothing(home: Path) -> None:
    (home / "examination-s1.txt").write_text("older", encoding="utf-8")
    async with running(writers=NAMED) as scene:
        await scene.say(PLAQUE, "export summary")
        assert isinstance(scene.app.screen, ExportDialog)
        assert "examination-s1-2.txt" in scene.words()
        await scene.say("yes")
        assert isinstance(scene.app.screen, ExaminingScreen)
        assert "10 by 6 mm" in (home / "examination-s1-2.txt").read_text(encoding="utf-8")
        assert (home / "examination-s1.txt").read_text(encoding="utf-8") == "older"
        assert "outside the record store" in scene.words()


async def test_the_kind_of_summary_is_chosen_and_the_dialog_closed_by_voice(home: Path) -> None:
    async with running(writers=NAMED) as scene:
        await scene.say(PLAQUE, "export summary", "next")
        assert "examination-s1.json" in scene.words()
        await scene.say("close")
        assert isinstance(scene.app.screen, ExaminingScreen)
        assert list(home.iterdir()) == []
        assert not scene.session.set_aside


async def test_a_yes_that_began_before_the_dialog_writes_nothing(home: Path) -> None:
    async with running(writers=NAMED) as scene:
        await scene.say(PLAQUE, "export summary")
        scene.clock.now -= 2.0
        await scene.say("yes")
        assert isinstance(scene.app.screen, ExportDialog)
        assert list(home.iterdir()) == []
        assert scene.session.set_aside[-1].text == "yes"


async def test_dictation_over_the_export_dialog_goes_to_the_record(home: Path) -> None:
    async with running(writers=NAMED) as scene:
        await scene.say(PLAQUE, "export summary", ULCER)
        assert len(scene.session.findings) == 2
        assert isinstance(scene.app.screen, ExportDialog)


async def test_a_final_record_is_exported_by_voice_and_not_changed(home: Path) -> None:
    async with running(writers=NAMED) as scene:
        await scene.say(PLAQUE, "start review")
        await answer_all(scene)
        await scene.press("enter")
        await scene.write("A X")
        await scene.press("enter")
        assert scene.session.is_final
        events = len(scene.session.events)
        await scene.say("export summary", "yes")
        assert len(scene.session.events) == events
        assert "A X" in (home / "examination-s1.txt").read_text(encoding="utf-8")


async def test_help_and_the_list_of_what_was_put_aside_open_and_close() -> None:
    async with running() as scene:
        await scene.say(TALK, "show help")
        assert isinstance(scene.app.screen, HelpDialog)
        await scene.say("close")
        assert isinstance(scene.app.screen, ExaminingScreen)
        await scene.say("what was put aside")
        assert isinstance(scene.app.screen, AsideDialog)
        assert TALK in scene.words()
        await scene.say("close")
        assert isinstance(scene.app.screen, ExaminingScreen)
        assert [each.text for each in scene.session.set_aside] == [TALK]
        await scene.say("close")
        assert "nothing to close" in scene.words()


async def test_what_was_put_aside_last_becomes_a_finding_after_a_yes() -> None:
    async with running() as scene:
        await scene.say(TALK)
        assert [each.text for each in scene.session.set_aside] == [TALK]
        await scene.say("make that a finding")
        assert isinstance(scene.app.screen, SpokenDraftDialog)
        assert not scene.session.findings
        await scene.say("yes")
        (finding,) = scene.session.findings
        assert finding.said == TALK
        assert not scene.session.set_aside
        assert isinstance(scene.app.screen, ExaminingScreen)


async def test_a_finding_dictated_into_the_review_is_taken_up_with_all_that_was_said() -> None:
    async with running() as scene:
        await scene.say(PLAQUE, "start review", ULCER, "make that a finding")
        assert isinstance(scene.app.screen, SpokenDraftDialog)
        await scene.say("yes")
        finding = scene.session.findings[-1]
        assert (finding.region, finding.side, finding.kind) == ("buccal mucosa", "right", "ulcer")
        assert finding.size_mm == (15.0,)
        assert finding.note is None
        assert isinstance(scene.app.screen, ReviewingScreen)


async def test_words_without_a_place_take_none_from_the_region_gone_to() -> None:
    async with running() as scene:
        await scene.say("go to the tongue", TALK, "record that")
        await scene.say("yes")
        (finding,) = scene.session.findings
        assert finding.region is None
        assert finding.doubted()
        assert finding.note == TALK


async def test_while_a_finding_waits_for_its_yes_other_speech_changes_nothing() -> None:
    async with running() as scene:
        await scene.say(PLAQUE, TALK, "make that a finding", "correct side right", ULCER)
        assert isinstance(scene.app.screen, SpokenDraftDialog)
        assert [each.side for each in scene.session.findings] == ["left"]
        assert [each.text for each in scene.session.set_aside][-1] == ULCER
        await scene.say("no")
        assert isinstance(scene.app.screen, ExaminingScreen)
        assert len(scene.session.findings) == 1
        assert TALK in [each.text for each in scene.session.set_aside]


async def test_with_nothing_put_aside_there_is_nothing_to_make_a_finding_of() -> None:
    async with running() as scene:
        await scene.say(PLAQUE, "make that a finding")
        assert "Nothing was put aside" in scene.words()
        assert len(scene.session.findings) == 1


@pytest.mark.parametrize("text", ["leave the rest outside", "make that a binding", "export some"])
async def test_a_mere_likeness_opens_nothing(text: str) -> None:
    async with running(writers=NAMED) as scene:
        await scene.say(TALK, text)
        assert isinstance(scene.app.screen, ExaminingScreen)
        assert not scene.session.findings


async def test_all_other_regions_are_left_out_only_after_a_yes() -> None:
    async with running() as scene:
        await scene.say(PLAQUE, "start review", "leave the rest out")
        assert isinstance(scene.app.screen, ReasonDialog)
        assert not scene.session.state.acknowledged
        await scene.say("no")
        assert not scene.session.state.acknowledged
        await scene.say("leave the rest out", "yes")
        assert isinstance(scene.app.screen, ReviewingScreen)
        assert "tongue" not in scene.session.state.acknowledged
        assert len(scene.session.state.acknowledged) > 10
        review = scene.session.review
        assert review is not None
        assert not [each for each in review.open if each.kind == "region"]
        await scene.say("undo")
        assert not scene.session.state.acknowledged


async def test_regions_are_left_out_in_the_review_only() -> None:
    async with running() as scene:
        await scene.say("leave the rest out")
        assert not scene.session.state.acknowledged
        assert "in the confirmation pass" in scene.words()


async def test_reading_aloud_is_switched_by_voice_even_while_it_speaks() -> None:
    voice = Aloud(command=(sys.executable, "-c", "import time; time.sleep(60)"))
    async with running(aloud=voice) as scene:
        await scene.say(PLAQUE, "start review", "read aloud")
        assert "READING ALOUD" in scene.shown()
        await scene.say("yes")
        assert not scene.session.state.confirmed
        await scene.say("stop reading")
        assert not scene.app.reader.on
        assert "● LISTENING" in scene.shown()


async def test_typed_words_ask_the_same_of_the_screen() -> None:
    async with running(writers=NAMED) as scene:
        await scene.press("t")
        await scene.write("export summary")
        await scene.press("enter")
        assert isinstance(scene.app.screen, ExportDialog)


async def test_signing_hears_no_command() -> None:
    async with running(writers=NAMED) as scene:
        await scene.say(PLAQUE, "start review")
        await answer_all(scene)
        await scene.press("enter")
        await scene.say("close", "export summary", "yes")
        assert isinstance(scene.app.screen, SigningDialog)
        assert not scene.session.is_final


async def test_a_pause_hears_no_command() -> None:
    async with running(writers=NAMED) as scene:
        await scene.say("pause listening", "export summary")
        assert isinstance(scene.app.screen, ExaminingScreen)


async def test_lost_sound_and_speech_without_words_are_recorded() -> None:
    async with running() as scene:
        scene.listening.report(NotUnderstood(1.0, 2.0))
        scene.listening.report(Lost(3.0, 0.5))
        await scene.settle()
        missed = scene.session.set_aside
        assert [(each.start_s, each.end_s) for each in missed] == [(1.0, 2.0), (3.0, 3.5)]
        assert len(scene.keeper.events) == 2
        await scene.press("s")
        assert scene.words().count("(no words)") == 2


async def test_an_engine_that_lags_is_called_busy_not_deaf() -> None:
    async with running() as scene:
        await scene.say(PLAQUE)
        scene.listening.report(Behind("the speech engine does not answer"))
        await scene.settle()
        scene.clock.now += 10
        scene.app.watch_hearing()
        assert "BUSY, SOUND IS KEPT" in scene.shown()
        assert "NOT HEARING" not in scene.shown()
        scene.listening.report(Behind(None))
        await scene.settle()
        assert "● LISTENING" in scene.shown()
        scene.listening.report(Deaf("the microphone was unplugged"))
        await scene.settle()
        assert "✕ NOT HEARING" in scene.shown()


def test_messages_of_one_utterance_are_joined_as_sentences() -> None:
    assert tidy("Lips: normal.; Labial mucosa: normal.") == "Lips: normal. Labial mucosa: normal."


async def answer_all(scene: Scene) -> None:
    for _ in range(60):
        review = scene.session.review
        assert review is not None
        if review.complete:
            return
        await scene.say("yes")
