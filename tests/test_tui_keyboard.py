"""The keyboard alone can do everything."""

from __future__ import annotations

import pytest

from dictate.tui.keys import KEYS
from dictate.tui.screens.aside import AsideDialog
from dictate.tui.screens.asking import AskingDialog
from dictate.tui.screens.examining import ExaminingScreen
from dictate.tui.screens.finding import DraftDialog, FindingDialog
from dictate.tui.screens.going import GoingDialog
from dictate.tui.screens.helping import HelpDialog
from dictate.tui.screens.marking import MarkingDialog
from dictate.tui.screens.reviewing import ReviewingScreen
from dictate.tui.screens.typing import TypingDialog
from dictate.tui.widgets.field_list import FieldList
from dictate.tui.widgets.region_list import RegionList
from dictate.tui.wording import LABELS
from tests.tui_samples import LARGE, LEXICON, PLAQUE, SMALL, ULCER, Scene, running


@pytest.mark.parametrize("size", [SMALL, LARGE])
async def test_a_whole_examination_by_keyboard(size: tuple[int, int]) -> None:
    async with running(size, listening=False) as scene:
        assert "KEYBOARD ONLY" in scene.shown()
        await scene.type_line(PLAQUE)
        await scene.type_line("buccal mucosa within normal limits")
        assert len(scene.session.findings) == 1
        await scene.press("v", "y", "A", "enter", "enter")
        await scene.write("Dr A Example")
        await scene.press("enter")
        assert scene.session.examiner == "Dr A Example"
        assert isinstance(scene.app.screen, ExaminingScreen)


DIALOGS = {
    "t": TypingDialog,
    "slash": TypingDialog,
    "g": GoingDialog,
    "m": MarkingDialog,
    "e": FindingDialog,
    "enter": FindingDialog,
    "a": DraftDialog,
    "d": AskingDialog,
    "delete": AskingDialog,
    "s": AsideDialog,
    "question_mark": HelpDialog,
    "f1": HelpDialog,
    "q": AskingDialog,
    "ctrl+q": AskingDialog,
}


async def test_a_key_opens_its_dialog_and_escape_closes_it() -> None:
    async with running() as scene:
        await scene.type_line(PLAQUE)
        for key, dialog in DIALOGS.items():
            await scene.press(key)
            assert isinstance(scene.app.screen, dialog), key
            await scene.press("escape")
            assert isinstance(scene.app.screen, ExaminingScreen), key
        assert len(scene.session.findings) == 1


async def test_every_key_of_the_table_has_an_action() -> None:
    async with running() as scene:
        for key in KEYS:
            name = f"action_{key.action.removeprefix('app.')}"
            owner = scene.app if key.action.startswith("app.") else scene.app.screen
            assert not key.action or hasattr(owner, name), key


async def test_regions_by_keyboard() -> None:
    async with running() as scene:
        order = scene.session.protocol.order
        await scene.press("n")
        assert scene.session.current_region == order[0]
        await scene.press("n", "n", "b")
        assert scene.session.current_region == order[1]
        await scene.press("g", "down", "down", "enter")
        assert scene.session.current_region == order[3]
        await scene.press("m", "tab", "i")
        covered = {each.region: each for each in scene.session.coverage}
        assert covered[order[3]].inspected == {"right"}
        await scene.press("m", "x")
        await scene.write("plaster on it")
        await scene.press("enter")
        covered = {each.region: each for each in scene.session.coverage}
        assert covered[order[3]].reason == "plaster on it"


async def test_the_region_list_of_a_wide_screen_goes_and_marks() -> None:
    async with running(LARGE) as scene:
        await scene.press("g")
        assert isinstance(scene.app.focused, RegionList)
        await scene.press("home", "down", "down", "enter")
        assert scene.session.current_region == scene.session.protocol.order[2]
        await scene.press("down", "m", "n")
        assert scene.session.coverage[3].is_normal


async def test_undo_and_redo_take_back_voice_and_keys_alike() -> None:
    async with running() as scene:
        await scene.say(PLAQUE)
        await scene.type_line(ULCER)
        await scene.press("u")
        assert [each.id for each in scene.session.findings] == ["f1"]
        await scene.press("u")
        assert scene.session.findings == ()
        await scene.press("u")
        assert "nothing to undo" in scene.words()
        await scene.press("r", "r")
        assert [each.id for each in scene.session.findings] == ["f1", "f2"]


async def test_deleting_asks_with_the_finding_in_words_and_can_be_undone() -> None:
    async with running() as scene:
        await scene.type_line(PLAQUE)
        await scene.press("d")
        assert "Left lateral border of the tongue" in scene.words()
        await scene.press("n")
        assert len(scene.session.findings) == 1
        await scene.press("d", "y")
        assert scene.session.findings == ()
        await scene.press("u")
        assert len(scene.session.findings) == 1


async def test_the_cursor_stays_on_its_finding_when_others_arrive() -> None:
    async with running() as scene:
        await scene.say(PLAQUE, ULCER)
        await scene.press("up")
        await scene.say("red patch left floor of mouth four millimetres")
        await scene.press("d", "y")
        assert [each.id for each in scene.session.findings] == ["f2", "f3"]


async def test_pause_is_shown_and_typing_goes_on() -> None:
    async with running() as scene:
        await scene.say("neck within normal limits")
        await scene.press("p")
        assert "PAUSED" in scene.shown()
        await scene.say(PLAQUE)
        assert scene.session.findings == ()
        assert "not taken" in scene.shown()
        await scene.type_line(ULCER)
        assert len(scene.session.findings) == 1
        await scene.say("resume listening")
        assert "LISTENING" in scene.shown()
        await scene.say(PLAQUE)
        assert len(scene.session.findings) == 2


async def test_an_utterance_that_was_set_aside_becomes_a_finding() -> None:
    async with running() as scene:
        await scene.say("go to the tongue", "something odd over here I think")
        assert "1 aside" in scene.shown()
        await scene.press("s", "enter")
        assert isinstance(scene.app.screen, DraftDialog)
        await scene.press("ctrl+s", "escape")
        finding = scene.session.findings[0]
        assert finding.region == "tongue"
        assert finding.note == "something odd over here I think"
        assert finding.utterances == (scene.session.utterances[-1].id,)
        assert "aside" not in scene.shown().splitlines()[0]


async def test_an_utterance_that_was_set_aside_is_typed_anew_from_its_words() -> None:
    async with running() as scene:
        await scene.say("something odd over here I think")
        await scene.press("s", "t", "home")
        await scene.write("left tongue ulcer three millimetres ")
        await scene.press("end", *["backspace"] * len("something odd over here I think"), "enter")
        assert scene.session.findings[0].size_mm == (3.0,)


async def test_a_finding_made_by_hand_is_one_step() -> None:
    async with running(listening=False) as scene:
        await scene.press("n", "a")
        await fill(scene, "side", "left")
        await fill(scene, "kind", "ulcer")
        assert scene.session.findings == ()
        await scene.press("ctrl+s")
        finding = scene.session.findings[0]
        assert (finding.region, finding.side, finding.kind) == ("face", "left", "ulcer")
        await scene.press("u")
        assert scene.session.findings == ()


async def fill(scene: Scene, field: str, typed: str) -> None:
    """Choose a field of the open dialog and the first value that typing leaves."""
    fields = scene.app.screen.query_one(FieldList)
    fields.highlighted = list(LABELS).index(field)
    await scene.press("enter")
    await scene.write(typed)
    await scene.press("enter")


async def test_help_lists_every_key_and_every_spoken_command() -> None:
    async with running((120, 120)) as scene:
        await scene.press("question_mark")
        text = scene.words()
        for key in KEYS:
            assert key.does in text
        for command in LEXICON.commands:
            assert f"“{command.say[0]}”" in text


async def test_leaving_asks_first_and_tells_that_the_draft_is_kept() -> None:
    async with running() as scene:
        await scene.press("q")
        assert "draft is kept" in scene.words()
        await scene.press("y")
        assert scene.app.return_code == 0
        assert not scene.app.is_running


async def test_review_key_opens_the_review() -> None:
    async with running() as scene:
        await scene.press("v")
        assert isinstance(scene.app.screen, ReviewingScreen)


async def test_a_final_record_takes_no_more_and_says_so() -> None:
    async with running() as scene:
        await scene.press("v", "A", "enter", "enter")
        await scene.write("AX")
        await scene.press("enter")
        assert scene.session.is_final
        await scene.say(PLAQUE)
        assert scene.session.findings == ()
        assert "final" in scene.words()
        await scene.press("u", "n", "v")
        assert "make an amendment" in scene.words()
