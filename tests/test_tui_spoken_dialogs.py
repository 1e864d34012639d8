"""Every dialog of the examination by voice alone."""

from __future__ import annotations

from dictate.exam.events import KEYBOARD, VOICE
from dictate.tui.screens.aside import AsideDialog
from dictate.tui.screens.asking import SpokenAskingDialog
from dictate.tui.screens.choosing import ChoosingDialog
from dictate.tui.screens.examining import ExaminingScreen
from dictate.tui.screens.finding import DraftDialog, FindingDialog, SpokenDraftDialog
from dictate.tui.screens.going import GoingDialog
from dictate.tui.screens.helping import HelpDialog
from dictate.tui.screens.marking import MarkingDialog, ReasonDialog
from dictate.tui.screens.reviewing import ReviewingScreen
from dictate.tui.screens.writing import WritingDialog
from dictate.tui.wording import LABELS
from dictate.vocabulary.schema import Slot
from tests.tui_samples import LEXICON, PLAQUE, ULCER, Scene, on_top, running


def last_actor(scene: Scene) -> str:
    return scene.session.events[-1].actor


async def test_the_program_is_left_by_voice_after_a_yes() -> None:
    async with running() as scene:
        await scene.say(PLAQUE, "leave the program")
        assert "The draft is kept" in scene.words()
        await scene.say("no")
        assert on_top(scene, ExaminingScreen)
        await scene.say("leave the program")
        await scene.say("yes", confidence=0.4)
        assert on_top(scene, SpokenAskingDialog)
        assert "not heard well" in scene.words()
        await scene.say("yes")
        assert not scene.app.is_running or scene.app._exit


async def test_a_region_is_marked_by_voice_with_side_and_reason() -> None:
    async with running() as scene:
        await scene.say("go to the buccal mucosa", "mark this region", "left side")
        assert on_top(scene, MarkingDialog)
        assert "Side: left" in scene.words()
        await scene.say("inspected", confidence=0.4)
        assert on_top(scene, MarkingDialog)
        await scene.say("inspected")
        assert on_top(scene, ExaminingScreen)
        assert list(scene.session.state.marks) == [("buccal mucosa", "inspected", "left")]
        assert last_actor(scene) == VOICE


async def test_the_reason_is_said_shown_and_taken_by_a_yes() -> None:
    async with running() as scene:
        await scene.say("go to the tongue", "mark this region", "not examined")
        assert on_top(scene, ReasonDialog)
        await scene.say("lovely weather today", "cannot open wide enough")
        assert "cannot open wide enough" in scene.words()
        await scene.say("yes")
        assert on_top(scene, ExaminingScreen)
        ((key, mark),) = scene.session.state.marks.items()
        assert (key[1], mark.reason) == ("not_examined", "cannot open wide enough")
        assert [each.text for each in scene.session.set_aside] == ["lovely weather today"]


async def test_what_was_heard_as_a_reason_and_refused_is_not_lost() -> None:
    async with running() as scene:
        await scene.say("go to the tongue", "mark this region", "not examined", ULCER, "no")
        assert on_top(scene, MarkingDialog)
        assert [each.text for each in scene.session.set_aside] == [ULCER]
        assert not scene.session.state.marks


async def test_all_regions_are_left_out_with_a_spoken_reason_or_a_typed_one() -> None:
    async with running() as scene:
        await scene.say(PLAQUE, "start review", "leave the rest out", "patient declined", "yes")
        reasons = set(scene.session.state.acknowledged.values())
        assert reasons == {"patient declined"}
        assert last_actor(scene) == VOICE
        await scene.say("undo", "leave the rest out")
        await scene.write("no time")
        await scene.press("enter")
        assert set(scene.session.state.acknowledged.values()) == {"no time"}
        assert last_actor(scene) == KEYBOARD


async def test_a_field_is_opened_by_name_and_its_value_said() -> None:
    async with running() as scene:
        await scene.say(PLAQUE, ULCER, "open finding one", "size")
        assert on_top(scene, WritingDialog)
        await scene.say("yes")
        assert "Say the value first" in scene.app.desk.notice.text
        await scene.say("twelve by eight millimetres")
        assert "12 × 8 mm" in scene.words()
        assert scene.session.findings[0].size_mm == (10.0, 6.0)
        await scene.say("yes")
        assert on_top(scene, FindingDialog)
        assert scene.session.findings[0].size_mm == (12.0, 8.0)
        assert last_actor(scene) == VOICE
        await scene.say("side", "left", "right")  # “right” is the side, and no yes to the left
        assert on_top(scene, ChoosingDialog)
        await scene.say("yes")
        assert [each.side for each in scene.session.findings] == ["right", "right"]
        await scene.say("undo")
        assert [each.side for each in scene.session.findings] == ["left", "right"]


async def test_values_are_taken_by_number_and_several_are_ticked() -> None:
    async with running() as scene:
        await scene.say(PLAQUE, "edit that finding", "colour")
        assert on_top(scene, ChoosingDialog)
        await scene.say("red", "yes")
        assert set(scene.session.findings[0].colours) == {"white", "red"}
        await scene.say("kind", "yes")
        assert on_top(scene, ChoosingDialog)
        await scene.say("option two", "yes")
        assert on_top(scene, FindingDialog)
        assert scene.session.findings[0].kind not in ("plaque", None)
        await scene.say("duration", "option one", "yes")
        assert scene.session.findings[0].duration_days is None


async def test_words_said_to_a_choice_change_no_other_finding() -> None:
    async with running() as scene:
        await scene.say(PLAQUE, "edit that finding", "side", "right", "close")
        assert on_top(scene, FindingDialog)
        assert scene.session.findings[0].side == "left"
        assert not [e for e in scene.session.events if e.body.type == "field_changed"]


async def test_a_new_finding_is_filled_and_recorded_by_voice() -> None:
    async with running() as scene:
        await scene.say("go to the tongue")
        await scene.press("a")
        await scene.say("kind", "ulcer", "yes", "size", "four millimetres", "yes")
        assert on_top(scene, DraftDialog)
        await scene.say("yes")
        (finding,) = scene.session.findings
        assert (finding.region, finding.kind, finding.size_mm) == ("tongue", "ulcer", (4.0,))


async def test_what_was_put_aside_is_taken_up_by_its_row() -> None:
    async with running() as scene:
        await scene.say("lovely weather today", "thank you very much", "what was put aside")
        assert on_top(scene, AsideDialog)
        await scene.say("row nine")
        assert on_top(scene, AsideDialog)
        await scene.say("row one")
        assert on_top(scene, SpokenDraftDialog)
        assert "lovely weather today" in scene.words()
        await scene.say("note", "left as it is", "yes", "no")
        assert not scene.session.findings
        await scene.say("row down", "open it")
        assert "thank you very much" in scene.words()


async def test_an_alternative_is_taken_by_its_number_in_the_review() -> None:
    async with running() as scene:
        await scene.say("white plaque left lateral border of the tongue fifteen millimetres")
        await scene.say("start review", "show the fields")
        assert not on_top(scene, ReviewingScreen)
        await scene.say("close", "option nine")
        assert "no alternative 9" in scene.app.desk.notice.text
        await scene.say("back to the examination")
        assert on_top(scene, ExaminingScreen)
        assert not scene.session.reviewing


async def test_a_delete_that_was_heard_badly_is_asked_back() -> None:
    async with running() as scene:
        await scene.say(PLAQUE)
        await scene.say("delete that finding", confidence=0.4)
        assert on_top(scene, SpokenAskingDialog)
        await scene.say("no", "delete that finding")
        assert not scene.session.findings


async def test_the_screen_is_locked_by_voice_when_that_was_heard_well() -> None:
    async with running() as scene:
        await scene.say("lock the screen", confidence=0.4)
        assert not scene.app.locked
        await scene.say("lock the screen", "show the worklist")
        assert scene.app.locked


async def test_regions_are_gone_to_from_their_list_and_help_is_scrolled() -> None:
    async with running() as scene:
        await scene.press("g")
        await scene.say("tongue")
        assert on_top(scene, ExaminingScreen)
        assert scene.session.current_region == "tongue"
        await scene.press("g")
        await scene.say("mark this region")
        assert on_top(scene, MarkingDialog)
        await scene.say("close")
        assert on_top(scene, GoingDialog)
        await scene.say("close", "help", "scroll down")
        assert on_top(scene, HelpDialog)
        await scene.say("lovely weather today")
        assert on_top(scene, ExaminingScreen)


def test_every_field_has_a_spoken_name() -> None:
    named = {str(each.value) for each in LEXICON.phrases if each.slot is Slot.FIELD}
    assert set(LABELS) <= named


TALK = (
    "next please",
    "close your mouth a little",
    "open it a bit wider",
    "open it",
    "one line down here",
    "leave it for now",
    "do you have the option of coming back",
    "keep still for me",
    "on the right side please",
    "is that normal",
    "i will edit that later",
    "we will leave the room now",
)


async def test_talk_to_the_patient_opens_and_changes_nothing() -> None:
    async with running() as scene:
        await scene.say(PLAQUE)
        before = scene.session.findings
        for talk in TALK:
            await scene.say(talk)
            assert on_top(scene, ExaminingScreen), talk
        assert scene.session.findings == before
        assert not scene.session.state.marks
        assert scene.session.current_region == "tongue"


async def test_talk_to_the_patient_answers_no_dialog() -> None:
    async with running() as scene:
        await scene.say(PLAQUE, "open the finding", "side")
        for talk in TALK[:5]:
            await scene.say(talk)
            assert on_top(scene, ChoosingDialog), talk
        assert scene.session.findings[0].side == "left"
