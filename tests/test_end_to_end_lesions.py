"""A second visit as real sound through the packaged engine: earlier lesions, records, worklist."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
import vobject
from textual.widgets import Input

from dictate.exam.commands import Decide
from dictate.store.store import Store
from dictate.tui.screens.amending import AmendingScreen
from dictate.tui.screens.answer import AnswerScreen
from dictate.tui.screens.patients import PatientsScreen
from dictate.tui.screens.registering import RegisteringDialog
from tests.exam_samples import PLAQUE
from tests.records_samples import TODAY, beside, small_clinic
from tests.test_end_to_end_by_voice import Hear, hear, say
from tests.tui_samples import Scene
from tests.visit_samples import FIRST, RULES, chair, days

__all__ = ["hear"]


@pytest.fixture
def store(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Store]:
    """P-9 has three open lesions."""
    monkeypatch.setenv("HOME", str(tmp_path))
    with small_clinic(tmp_path / "store") as store:
        made = chair(FIRST, patient="P-9", followup=RULES, session="s1-P-9")
        made.plaque(colours=())
        place = {"subsite": None, "colours": ()}
        made.plaque(region="buccal mucosa", side="right", kind="ulcer", size_mm=(8.0, 7.0), **place)
        made.plaque(region="hard palate", kind="nodule", size_mm=(5.0,), **place)
        for finding in ("f1", "f2", "f3"):
            made.key(Decide(target=finding, decision="recheck", reason="trauma likely"))
        made.signed()
        store.create(made.session)
        yield store


async def test_the_lesions_of_the_last_visit_are_followed_by_sound(
    hear: Hear, store: Store
) -> None:
    async with beside(store, patient="P-9") as scene:
        await say(
            scene,
            hear,
            "lesion one same as last time",
            "lesion two smaller, six by four millimetres",
            "lesion three resolved",
        )
        today = {each.lesion.label: each for each in scene.session.lesions}
        assert [each.status for each in today.values()] == ["same", "changed", "resolved"]
        same, smaller = today["L1"].finding, today["L2"].finding
        assert same is not None
        assert same.size_mm == PLAQUE.size_mm
        assert smaller is not None
        assert (smaller.size_mm, smaller.change) == ((6.0, 4.0), "shrinking")
        assert (smaller.region, smaller.side, smaller.kind) == ("buccal mucosa", "right", "ulcer")
        assert not scene.session.set_aside


async def test_the_records_are_opened_and_written_by_sound(
    hear: Hear, store: Store, tmp_path: Path
) -> None:
    async with beside(store) as scene:
        await say(scene, hear, "show the worklist", "export the worklist", "next", "yes")
        content = (tmp_path / f"worklist-{TODAY}.ics").read_bytes()
        assert vobject.readOne(content.decode()).vevent_list
        await row_of(scene, hear, "P-2")
        await say(scene, hear, "record the answer")
        assert isinstance(scene.app.screen, AnswerScreen)
        await say(scene, hear, "the biopsy shows no dysplasia", "next", "two days ago")
        words = scene.app.screen.query_one("#words", Input).value
        assert "biopsy shows no dysplasia" in words
        assert scene.app.screen.query_one("#on", Input).value == str(TODAY - days(2))
        await scene.press("ctrl+s")
        assert isinstance(scene.app.screen, AnswerScreen), "nobody has put a name to it"
        await scene.press("escape", "y")
        await say(scene, hear, "open it", "amend this record")
        assert isinstance(scene.app.screen, AmendingScreen)
        await scene.press("f8")
        await say(scene, hear, "find a patient", "zero zero seven")
        assert isinstance(scene.app.screen, PatientsScreen)
        assert scene.app.screen.query_one(Input).value == "007"
        await say(scene, hear, "register a new patient")
        assert isinstance(scene.app.screen, RegisteringDialog)
    assert store.load("s1-P-2").version == 1


async def row_of(scene: Scene, hear: Hear, patient: str) -> None:
    """Open that patient's line of the worklist by its number."""
    assert scene.app.clinic is not None
    rows = [each.patient for each in scene.app.clinic.due()]
    await say(scene, hear, f"row {('one', 'two', 'three', 'four', 'five')[rows.index(patient)]}")
