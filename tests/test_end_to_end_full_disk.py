"""The disk fills up amid an examination: all goes on, and all is kept when it can be."""

from __future__ import annotations

import re
import sqlite3
import tempfile
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import click
import pytest
from textual.widgets import Input

from dictate.exam.commands import Answer, ChangeField, Command, Decide, Sign, StartReview
from dictate.export.formats import WRITERS
from dictate.pipeline.clinic import Clinic
from dictate.pipeline.opening import new_examination
from dictate.store import connection, trail
from dictate.store.store import Store
from dictate.store.trail import TrailEntry
from dictate.store.verifying import verify
from dictate.tui import app as app_module
from dictate.tui.aloud import Aloud
from dictate.tui.app import ExamApp
from tests.cli_inside import inside
from tests.exam_samples import Chair
from tests.full_disk import FullDisk, can_mount, says_full, small_disk
from tests.store_script import run
from tests.tui_samples import LARGE, LEXICON, PLAQUE, ULCER, Clock, HandFed, Keeper, Scene

with tempfile.TemporaryDirectory() as _folder:
    KINDS = ("says it is full", *(["is full"] if can_mount(Path(_folder)) else []))
"""A disk that is really full wherever one can be mounted, and always one that says so."""
MANY = 60


@pytest.fixture(params=KINDS)
def disk(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[FullDisk]:
    kind = small_disk if request.param == "is full" else says_full
    with kind(tmp_path) as made:
        yield made


class Examined:
    """An examination on the screen, kept by a real store."""

    def __init__(self, scene: Scene, store: Store) -> None:
        self.scene, self.store = scene, store

    @property
    def kept(self) -> int:
        """How many events another program would find."""
        with Store(self.store.home) as other:
            return len(other.load(self.scene.session.id).events)

    @property
    def problem(self) -> str:
        return self.scene.app.desk.problem or ""

    async def until_refused(self) -> None:
        """What was written last may have left room in its block."""
        for turn in range(MANY):
            await self.scene.say(f"nothing of the trade {turn}")
            if self.problem:
                return
        raise AssertionError("the disk is not full")

    def do(self, command: Command) -> None:
        assert self.scene.app.desk.do(command) is not None, self.scene.app.desk.notice

    def answer_all(self) -> None:
        while (review := self.scene.session.review) is not None and review.current is not None:
            question = review.current
            if question.kind == "decision" and question.finding:
                self.do(Decide(target=question.finding, decision="refer", reason="a rule is met"))
            else:
                self.do(Answer(yes=True))

    async def export(self, path: Path) -> None:
        await self.scene.press("x")
        self.scene.app.screen.query_one(Input).value = str(path)
        await self.scene.press("enter")


async def test_nothing_is_lost_while_the_disk_is_full(disk: FullDisk) -> None:
    home, summary = disk.folder / "home", disk.folder / "summary.txt"
    with Store(home) as store:
        clock = Clock()
        app = ExamApp(
            new_examination(store, LEXICON, patient="P-17"),
            LEXICON,
            HandFed,
            {"txt": WRITERS["text"]},
            aloud=Aloud(command=None),
            clock=clock,
            clinic=Clinic(store),
        )
        async with app.run_test(size=LARGE) as pilot:
            scene = Scene(app, pilot, clock, Keeper())
            await scene.settle()
            examined = Examined(scene, store)

            await scene.say(PLAQUE)
            assert examined.problem == ""
            disk.fill()  # while dictating and editing
            await examined.until_refused()
            before = examined.kept
            await scene.say(ULCER)
            examined.do(ChangeField(target="f1", field="size_mm", value=[4.0]))
            assert len(scene.session.findings) == 2
            assert "the disk is full; free some space" in scene.words()
            assert examined.kept == before
            disk.free()
            app.watch_keeping()
            assert examined.problem == ""
            assert examined.kept == len(scene.session.events)

            examined.do(StartReview())
            examined.answer_all()
            disk.fill()  # while signing and exporting
            await examined.until_refused()
            examined.answer_all()
            before = examined.kept
            examined.do(Sign(examiner="A. Berg"))
            assert scene.session.is_final
            assert "the disk is full" in app.what_is_kept()
            await scene.settle()
            await examined.export(summary)
            assert "Not written: No space left on device" in scene.words()
            assert sorted(path.name for path in disk.folder.iterdir()) in (
                ["ballast", "home"],
                ["home"],
            )
            await scene.press("escape")
            Clinic(store).record(scene.session.id)  # a look at the record, for the trail
            assert examined.kept == before
            disk.free()
            app.watch_keeping()
            assert examined.problem == ""
            assert "Saved" in scene.words()
            assert not store.pending(scene.session.id)
            await examined.export(summary)
            assert "A. Berg" in summary.read_text("utf-8")
            session = scene.session

    with Store(home) as store:
        assert store.load(session.id).events == session.events
        assert [each.state for each in store.list()] == ["final"]
        assert verify(store.untouched(), store.folder).faults == []
        looked = [each.action for each in noted(store) if each.session == session.id]
        assert {"viewed", "exported"} <= set(looked)
        assert store.notes == ()


def noted(store: Store) -> list[TrailEntry]:

    database = store.database()
    with database.transaction("read the audit trail") as transaction:
        return list(trail.entries(transaction, database.sealer))


@pytest.mark.parametrize("filled_at", ["the beginning", "its first words"])
async def test_an_examination_begun_on_a_full_disk(
    disk: FullDisk, filled_at: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(app_module, "_KEEP_S", 0.1)
    home = disk.folder / "home"
    if filled_at == "the beginning":
        disk.fill()
    with Store(home) as store:
        examination = new_examination(store, LEXICON)
        if filled_at != "the beginning":
            disk.fill()
        app = ExamApp(examination, LEXICON, HandFed, aloud=Aloud(command=None), clock=Clock())
        async with app.run_test(size=LARGE) as pilot:
            scene = Scene(app, pilot, Clock(), Keeper())
            await scene.say(PLAQUE)
            await Examined(scene, store).until_refused()
            assert "the disk is full" in scene.words()
            disk.free()
            for _ in range(MANY):  # nobody says or presses anything
                await pilot.pause(0.1)
                if app.desk.problem is None:
                    break
            assert app.desk.problem is None
            events = scene.session.events
    with Store(home) as store:
        assert store.resume().events == events


def test_no_half_file_is_left_of_an_export(disk: FullDisk) -> None:
    home, target = disk.folder / "home", disk.folder / "out.json"
    with Store(home) as store:
        run(store)
    disk.fill()
    refused = inside("export", "s1", "--format", "json", "--output", target, home=home)
    assert refused.code == 2
    assert re.search("No space left on device|the disk is full", refused.err), refused
    disk.free()
    assert not target.exists()
    assert inside("export", "s1", "--format", "json", "--output", target, home=home).code == 0


def test_a_signature_waits_at_the_command_line_until_there_is_space(disk: FullDisk) -> None:
    home = disk.folder / "home"
    with Store(home) as store:
        seat = Chair()
        seat.plaque()
        seat.confirm_all()
        store.create(seat.session)
    answers: list[str] = []

    def asked(prompt: str, **_: object) -> str:
        answers.append(prompt)
        if prompt.startswith("Examiner"):
            disk.fill()
            return "A. Berg"
        if len(answers) > 2:
            disk.free()
        return ""

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(click, "prompt", asked)
        patch.setattr(connection, "RETRY_S", 0.0)
        ran = inside("review", "s1", home=home)
    assert ran.code == 0, ran
    assert "signed, but not kept yet: Cannot keep" in ran.err
    with Store(home) as store:
        assert store.load("s1").examiner == "A. Berg"


async def test_a_held_database_is_told_once_and_work_goes_on(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Another process holds it: the journal has what is said, the database gets it later."""
    monkeypatch.setattr(connection, "RETRY_S", 0.0)
    with Store(tmp_path) as store:
        app = ExamApp(
            new_examination(store, LEXICON),
            LEXICON,
            HandFed,
            aloud=Aloud(command=None),
            clock=Clock(),
        )
        async with app.run_test(size=LARGE) as pilot:
            scene = Scene(app, pilot, Clock(), Keeper())
            with closing(sqlite3.connect(tmp_path / "records.db", isolation_level=None)) as holder:
                holder.execute("BEGIN IMMEDIATE")
                await scene.say(PLAQUE)
                app.watch_keeping()
                assert "another program holds the database" in scene.words()
                assert app.desk.problem is None
                app.desk.tell("something else")
                app.watch_keeping()
                assert app.desk.notice.text == "something else"
            await scene.say(ULCER)
            app.watch_keeping()
            assert app.desk.notice.text == "The database has everything again"
            assert len(store.database().records(scene.session.id)) == len(scene.session.events)
