"""Earlier lesions, the risk history and decisions in the confirmation pass on the screen."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

import pytest

from dictate.exam.question import Question
from dictate.exam.session import Session
from dictate.matching.matcher import Matcher
from dictate.pipeline.examination import Examination
from dictate.tui.aloud import Aloud
from dictate.tui.app import ExamApp
from tests.tui_samples import LARGE, LEXICON, SMALL, START, Clock, Keeper, Scene
from tests.visit_samples import LATER, open_lesion


@asynccontextmanager
async def follow_up(size: tuple[int, int] = SMALL) -> AsyncIterator[Scene]:
    """The application at a second visit: one lesion is open, the rules are in use."""
    session = Session.start(
        "s2",
        LEXICON,
        START,
        patient="P-17",
        on=LATER,
        lesions=(open_lesion(),),
        followup=LEXICON.followup.chosen(),
    )
    clock, keeper = Clock(), Keeper()
    examination = Examination(session, Matcher(LEXICON), keeper)
    app = ExamApp(examination, LEXICON, None, None, aloud=Aloud(command=None), clock=clock)
    async with app.run_test(size=size) as pilot:
        scene = Scene(app, pilot, clock, keeper)
        await scene.settle()
        yield scene


def asked(scene: Scene) -> Question | None:
    review = scene.session.review
    return review.current if review is not None else None


async def until(scene: Scene, kind: str) -> None:
    """Say yes up to the first question of that kind."""
    for _ in range(60):
        question = asked(scene)
        if question is None or question.kind == kind:
            return
        await scene.press("y")


@pytest.mark.parametrize("size", [SMALL, LARGE])
async def test_a_lesion_nobody_spoke_of_is_asked_about_and_answered_in_words(
    size: tuple[int, int],
) -> None:
    async with follow_up(size) as scene:
        await scene.press("v")
        await until(scene, "lesion")
        assert "Nothing was said of L1" in scene.words()
        await scene.press("n")
        await scene.write("lesion one same as last time")
        await scene.press("enter", "escape")
        assert scene.session.lesions[0].status == "same"


async def test_a_decision_is_typed_as_it_would_be_said() -> None:
    async with follow_up() as scene:
        await scene.type_line("lesion one larger, twelve by eight millimetres, indurated")
        await scene.press("v")
        await until(scene, "decision")
        text = scene.words()
        assert "DECIDE" in text
        assert "should not wait" in text
        whole = " ".join(text.split())
        assert whole.index("re-check or no action") < whole.index("should not wait"), "first"
        assert "As proposed" not in whole, "there is no proposal: yes is no answer"
        await scene.press("y")
        question = asked(scene)
        assert question is not None
        assert question.kind == "decision", "a rule is met: yes is not enough"
        await scene.press("t")
        await scene.write("refer because it is indurated")
        await scene.press("enter", "escape")
        decision = scene.session.decision("f1")
        assert decision is not None
        assert (decision.decision, decision.reason) == ("refer", "it is indurated")
        assert asked(scene) is None


async def test_the_same_lesion_or_a_new_one() -> None:
    async with follow_up() as scene:
        await scene.type_line("white plaque left lateral border of the tongue five millimetres")
        await scene.press("v")
        await until(scene, "link")
        assert "Is this L1" in scene.words()
        await scene.press("n")
        assert scene.session.lesions[0].status == "not mentioned"
        assert "THE SAME LESION" not in scene.words()
