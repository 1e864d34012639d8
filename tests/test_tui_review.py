"""The confirmation pass: an answer counts for the question on the screen and no other."""

from __future__ import annotations

from dictate.exam.commands import AddFinding, ChangeField
from dictate.exam.finding import Alternative, Doubt, FindingFields
from dictate.exam.review import Question
from dictate.speech.heard import Partial
from dictate.tui.screens.examining import ExaminingScreen
from dictate.tui.screens.finding import FindingDialog
from dictate.tui.screens.helping import HelpDialog
from dictate.tui.screens.marking import MarkingDialog
from dictate.tui.screens.reviewing import ReviewingScreen
from dictate.tui.screens.signing import SigningDialog
from tests.tui_samples import LARGE, PLAQUE, ULCER, Scene, running

DOUBTED = AddFinding(
    fields=FindingFields(region="buccal mucosa", side="right", kind="ulcer", size_mm=(15.0,)),
    needs_review=(Doubt(field="size_mm", why="fifteen and fifty sound alike"),),
    alternatives=(Alternative(field="size_mm", value=[50.0], score=81.0),),
    said="ulcer right buccal mucosa fifteen millimetres",
)


def asked(scene: Scene) -> Question:
    review = scene.session.review
    assert review is not None
    assert review.current is not None
    return review.current


async def test_a_doubted_size_is_read_back_with_its_reason_and_what_else_was_heard() -> None:
    async with running() as scene:
        scene.app.desk.do(DOUBTED)
        await scene.press("v")
        text = scene.words()
        for word in ("15 mm", "fifteen and fifty sound alike", "also heard as 50 mm", "RIGHT"):
            assert word in text


async def test_a_number_key_takes_what_else_was_heard() -> None:
    async with running() as scene:
        scene.app.desk.do(DOUBTED)
        await scene.press("v", "1")
        finding = scene.session.findings[0]
        assert finding.size_mm == (50.0,)
        assert not finding.doubted()


async def test_yes_settles_the_field_and_the_finding_is_then_read_back() -> None:
    async with running() as scene:
        scene.app.desk.do(DOUBTED)
        await scene.press("v")
        assert asked(scene).kind == "field"
        await scene.press("y")
        assert scene.session.findings[0].doubted() == frozenset()
        assert asked(scene).kind == "finding"
        await scene.press("y")
        assert asked(scene).kind == "region"


async def test_no_opens_the_field_and_its_new_value_settles_it() -> None:
    async with running() as scene:
        scene.app.desk.do(DOUBTED)
        await scene.press("v", "n")
        await scene.write("5.5 mm")
        await scene.press("enter")
        finding = scene.session.findings[0]
        assert finding.size_mm == (5.5,)
        assert not finding.doubted()


async def test_a_spoken_correction_means_the_finding_that_is_asked_about() -> None:
    async with running() as scene:
        await scene.say(PLAQUE, ULCER, "start review")
        assert asked(scene).finding == "f1"
        await scene.say("correct size twelve by eight millimetres")
        sizes = {each.id: each.size_mm for each in scene.session.findings}
        assert sizes == {"f1": (12.0, 8.0), "f2": (15.0,)}


async def test_spoken_no_skip_and_repeat() -> None:
    async with running() as scene:
        await scene.say(PLAQUE, ULCER, "start review", "no")
        assert asked(scene).finding == "f1"
        assert "Say or type what to correct" in scene.words()
        await scene.say("skip")
        assert asked(scene).finding == "f2"
        await scene.say("repeat")
        assert asked(scene).finding == "f2"


async def test_a_yes_behind_a_dialog_answers_nothing_and_is_kept() -> None:
    async with running() as scene:
        await scene.say(PLAQUE, "start review")
        before = asked(scene)
        await scene.press("c")
        assert isinstance(scene.app.screen, FindingDialog)
        await scene.say("yes")
        assert asked(scene) == before
        assert scene.session.set_aside[-1].text == "yes"
        assert "a dialog covers the question" in scene.session.set_aside[-1].why


async def test_a_yes_begun_before_the_question_was_there_answers_nothing() -> None:
    async with running() as scene:
        await scene.say(PLAQUE, ULCER, "start review")
        # The clinician starts to say yes to f1; the assistant answers f1 at that moment.
        scene.listening.report(Partial("yes", scene.clock.now - 1000.0))
        scene.clock.now += 0.4
        await scene.press("y")
        assert asked(scene).finding == "f2"
        scene.clock.now -= 0.4
        await scene.say("yes")
        assert asked(scene).finding == "f2"
        assert "say it again" in scene.words()
        await scene.say("yes")
        assert asked(scene).kind == "region"


async def test_help_over_a_question_is_left_by_voice_without_answering_it() -> None:
    async with running() as scene:
        await scene.say(PLAQUE, "start review", "help")
        assert isinstance(scene.app.screen, HelpDialog)
        await scene.say("yes")
        assert isinstance(scene.app.screen, ReviewingScreen)
        assert asked(scene).finding == "f1"


async def test_an_unexamined_region_is_left_out_or_marked() -> None:
    async with running() as scene:
        await scene.press("v")
        first = asked(scene)
        assert first.kind == "region"
        await scene.press("y")
        assert asked(scene).region != first.region
        second = asked(scene).region
        await scene.press("n")
        assert isinstance(scene.app.screen, MarkingDialog)
        await scene.press("n")
        covered = {each.region: each for each in scene.session.coverage}
        assert second is not None
        assert covered[second].is_normal


async def test_all_unexamined_regions_are_left_out_with_a_reason() -> None:
    async with running() as scene:
        await scene.press("v", "A")
        await scene.write("child would not stay")
        await scene.press("enter")
        assert all(each.acknowledged for each in scene.session.coverage)
        assert {each.reason for each in scene.session.coverage} == {"child would not stay"}
        assert "EVERYTHING IS DECIDED" in scene.words()


async def test_signing_needs_every_question_decided_and_a_name() -> None:
    async with running() as scene:
        await scene.say(PLAQUE, "start review")
        await scene.press("enter")
        assert not isinstance(scene.app.screen, SigningDialog)
        assert "still open" in scene.words()
        await scene.press("y", "A", "enter")
        await scene.press("enter")
        assert isinstance(scene.app.screen, SigningDialog)
        await scene.press("enter")
        assert not scene.session.is_final
        assert "A name is missing" in scene.words()


async def test_what_was_put_aside_is_shown_before_it_is_left_out() -> None:
    async with running() as scene:
        await scene.say("lovely weather for it", "start review")
        await scene.press("A", "enter")
        assert asked(scene).kind == "aside"
        assert "lovely weather for it" in scene.words()
        await scene.press("y")
        assert "EVERYTHING IS DECIDED" in scene.words()


async def test_a_contradiction_is_asked_about() -> None:
    async with running() as scene:
        await scene.say("right buccal mucosa within normal limits", ULCER, "start review")
        kinds = [each.kind for each in scene.session.review.open] if scene.session.review else []
        assert "contradiction" in kinds or "mark" in kinds


async def test_escape_goes_back_to_the_examination_and_review_takes_up_again() -> None:
    async with running() as scene:
        await scene.say(PLAQUE)
        await scene.press("v", "y", "escape")
        assert isinstance(scene.app.screen, ExaminingScreen)
        assert not scene.session.reviewing
        await scene.press("v")
        assert asked(scene).kind == "region"


async def test_a_change_opens_the_question_again() -> None:
    async with running() as scene:
        await scene.say(PLAQUE)
        await scene.press("v", "y")
        scene.app.desk.do(ChangeField(target="f1", field="side", value="right"))
        await scene.settle()
        assert asked(scene).finding == "f1"
        assert "RIGHT" in scene.words()


async def test_a_wide_screen_lists_what_is_still_to_decide() -> None:
    async with running(LARGE) as scene:
        await scene.say(PLAQUE, "start review")
        text = scene.words()
        assert "To decide" in text
        assert "f1: read back" in text
        assert "oropharynx: not examined?" in text


async def test_review_that_voice_started_while_a_dialog_was_open_waits_for_the_dialog() -> None:
    async with running() as scene:
        await scene.say(PLAQUE)
        await scene.press("e")
        await scene.say("start review")
        assert isinstance(scene.app.screen, FindingDialog)
        await scene.press("escape")
        assert isinstance(scene.app.screen, ReviewingScreen)


async def test_a_finding_dictated_into_the_review_overwrites_none_and_is_kept() -> None:
    async with running() as scene:
        await scene.say(PLAQUE, "start review", "ulcer right buccal mucosa fifteen millimetres")
        finding = scene.session.findings[0]
        assert (finding.region, finding.side, finding.kind) == ("tongue", "left", "plaque")
        assert scene.session.set_aside[-1].text == "ulcer right buccal mucosa fifteen millimetres"
        await scene.say("right tongue normal")
        assert scene.session.findings[0].side == "left"
