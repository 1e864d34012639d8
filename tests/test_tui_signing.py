"""Signing where people are registered: an examiner, under the own name; as before where none is."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path

from textual.widgets import Input

from dictate.matching.matcher import Matcher
from dictate.pipeline.examination import Examination
from dictate.store.people import People
from dictate.store.store import Store
from dictate.tui.aloud import Aloud
from dictate.tui.app import ExamApp
from dictate.tui.screens.signing import SigningDialog
from tests.exam_samples import Chair
from tests.tui_samples import LEXICON, SMALL, Clock, HandFed, Keeper, Scene

EXAMINER, OTHER, ASSISTANT = "A. Berg", "C. Dahl", "E. Fell"


@asynccontextmanager
async def signing(
    folder: Path, *, acting: str | None, registered: bool = True
) -> AsyncIterator[Scene]:
    """The signing dialog over a record in which every question is decided."""
    with Store(folder) as store:
        if registered:
            people = People(store.database())
            people.add(EXAMINER, "examiner")
            people.add(OTHER, "examiner")
            people.add(ASSISTANT, "assistant")
        store.roles.act_as(acting)
        chair = Chair()
        chair.plaque()
        chair.confirm_all()
        store.create(chair.session)
        made = Examination(chair.session, Matcher(LEXICON), store)
        clock = Clock()
        app = ExamApp(made, LEXICON, HandFed, aloud=Aloud(command=None), clock=clock)
        async with app.run_test(size=SMALL) as pilot:
            scene = Scene(app, pilot, clock, Keeper())
            await scene.settle()
            await scene.press("enter")
            assert isinstance(app.screen, SigningDialog)
            yield scene


async def sign(scene: Scene, name: str) -> None:
    scene.app.screen.query_one(Input).value = name
    await scene.press("enter")


async def test_an_examiner_signs_under_the_own_name_alone(tmp_path: Path) -> None:
    async with signing(tmp_path, acting="a. berg") as scene:
        assert scene.app.screen.query_one(Input).value == EXAMINER
        for name in (OTHER, ASSISTANT, "X. Nobody"):
            await sign(scene, name)
            assert not scene.session.is_final
            assert "You act as A. Berg; sign with that name" in scene.words()
        await sign(scene, "A. BERG")
        assert scene.session.is_final
        assert scene.session.examiner == EXAMINER


async def test_an_assistant_is_refused_and_told_who_signs(tmp_path: Path) -> None:
    async with signing(tmp_path, acting=ASSISTANT) as scene:
        assert scene.app.screen.query_one(Input).value == ""
        for name in ("", ASSISTANT, EXAMINER, "X. Nobody"):
            text = scene.words()
            assert "E. Fell is an assistant, and only an examiner signs" in text
            assert "Examiners here: A. Berg, C. Dahl." in text
            await sign(scene, name)
            assert not scene.session.is_final


async def test_where_people_are_registered_nobody_signs_unnamed(tmp_path: Path) -> None:
    async with signing(tmp_path, acting=None) as scene:
        assert "Say who you are" in scene.words()
        assert "Examiners here: A. Berg, C. Dahl." in scene.words()
        await sign(scene, EXAMINER)
        assert not scene.session.is_final


async def test_where_nobody_is_registered_anybody_signs(tmp_path: Path) -> None:
    async with signing(tmp_path, acting=None, registered=False) as scene:
        assert not scene.app.screen.query_one(".error").display
        await sign(scene, "any name")
        assert scene.session.examiner == "any name"
