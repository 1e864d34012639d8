"""Registering patients on the screen, and writing the worklist to a file."""

from __future__ import annotations

import csv
from collections.abc import Iterator
from pathlib import Path

import pytest
import vobject
from textual.widgets import Input

from dictate.exam.patients import Patient
from dictate.store import trail
from dictate.store.patients import PatientBook
from dictate.store.store import Store
from dictate.tui.screens.asking import AskingDialog
from dictate.tui.screens.exporting import WorklistExportDialog
from dictate.tui.screens.patient import PatientScreen
from dictate.tui.screens.patients import PatientsScreen
from dictate.tui.screens.registering import RegisteringDialog
from tests.records_samples import TODAY, beside, small_clinic
from tests.tui_samples import LARGE, SMALL, Scene, on_top


@pytest.fixture
def store(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Store]:
    monkeypatch.setenv("HOME", str(tmp_path))
    with small_clinic(tmp_path / "store") as store:
        yield store


async def fill(scene: Scene, *texts: str) -> None:
    """Each field in turn; enter goes on, and keeps it after the last."""
    for text in texts:
        await scene.write(text)
        await scene.press("enter")


@pytest.mark.parametrize("size", [SMALL, LARGE])
async def test_a_new_patient_is_registered_and_found(store: Store, size: tuple[int, int]) -> None:
    async with beside(store, size) as scene:
        await scene.press("f", "ctrl+n")
        assert on_top(scene, RegisteringDialog)
        await fill(scene, "Q-71", "Dov Larkspur", "1948")
        assert on_top(scene, PatientsScreen)
        assert "1 patient" in scene.words()
        assert "Dov Larkspur, 1948" in scene.words()
    assert PatientBook(store).get("q-71") == Patient.of("Q-71", "Dov Larkspur", 1948)


async def test_what_was_looked_for_in_vain_is_proposed(store: Store) -> None:
    async with beside(store) as scene:
        await scene.press("f")
        await scene.write("Z-40")
        await scene.say("register a new patient")
        assert scene.app.screen.query_one("#identifier", Input).value == "Z-40"
        await scene.say("Ada Rowan", "close")
        assert on_top(scene, PatientsScreen)
        assert "typed" in {each.why for each in scene.session.set_aside}.pop()
    assert PatientBook(store).get("Z-40") is None


async def test_an_identifier_one_slip_away_is_asked_about(store: Store) -> None:
    async with beside(store) as scene:
        await scene.press("f", "ctrl+n")
        await fill(scene, "P-11", "", "")
        assert on_top(scene, AskingDialog)
        assert "much like P-1 (Ada Rowan)" in scene.words()
        await scene.press("n")
        assert PatientBook(store).get("P-11") is None
        await scene.press("ctrl+s", "y")
        assert on_top(scene, PatientsScreen)
    assert PatientBook(store).get("P-11") is not None


@pytest.mark.parametrize(
    ("texts", "told"),
    [
        (("", "Somebody", ""), "identifier is missing"),
        (("p-2", "Somebody", ""), "P-2 Bram Thistle, born 1950 is known already"),
        (("Q-9", "", "56"), "four digits"),
        (("Q-9", "", "1066"), "no year of birth"),
        (("Q-9", "", "2199"), "has not come yet"),
    ],
)
async def test_what_cannot_be_kept_is_told(
    store: Store, texts: tuple[str, str, str], told: str
) -> None:
    async with beside(store) as scene:
        await scene.press("f", "ctrl+n")
        await fill(scene, *texts)
        assert on_top(scene, RegisteringDialog)
        assert told in scene.words()
    assert PatientBook(store).get("Q-9") is None
    assert PatientBook(store).known("P-2").name == "Bram Thistle"


async def test_name_and_year_are_changed_from_the_patients_page(store: Store) -> None:
    async with beside(store) as scene:
        await scene.say("find patient three", "row one", "register this patient")
        assert on_top(scene, RegisteringDialog)
        born = scene.app.screen.query_one("#born", Input)
        born.value = "1970"
        await scene.press("ctrl+s")
        assert on_top(scene, PatientScreen)
        assert "P-3 Cleo Rowan, born 1970" in scene.words()


async def test_a_newcomer_is_named_in_the_confirmation_pass(store: Store) -> None:
    async with beside(store, patient="N-1", newcomer="New patient N-1: not seen before.") as scene:
        await scene.press("v")
        assert "Is the identifier right" in scene.words()
        await scene.press("c")
        await fill(scene, "Nico Hazelden", "1960")
        assert "Is the identifier right" in scene.words()
        assert "Kept: N-1 Nico Hazelden, born 1960" in scene.words()
        await scene.say("register this patient")
        assert on_top(scene, RegisteringDialog)
        assert scene.app.screen.query_one("#name", Input).value == "Nico Hazelden"
    assert PatientBook(store).known("N-1").birth_year == 1960


async def test_the_worklist_is_written_as_a_table_by_key(store: Store, tmp_path: Path) -> None:
    async with beside(store) as scene:
        await scene.press("w", "x")
        assert on_top(scene, WorklistExportDialog)
        assert "leaves the record store" in scene.words()
        await scene.press("enter")
        assert "outside the record store" in scene.words()
    with store.database().transaction("read the trail") as transaction:
        noted = [*trail.entries(transaction, store.database().sealer)]
    assert ("exported", "worklist, csv") in {(each.action, each.detail) for each in noted}
    with (tmp_path / f"worklist-{TODAY}.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert [(row["patient"], row["status"]) for row in rows] == [
        ("P-1", "overdue"),
        ("P-2", "awaiting"),
    ]


async def test_and_as_a_calendar_by_voice_without_names(store: Store, tmp_path: Path) -> None:
    """Read back by vobject, which did not write it."""
    async with beside(store) as scene:
        await scene.say("show the worklist", "export the worklist", "next", "yes")
        assert "Written" in scene.words()
        assert {each.kind for each in scene.session.utterances} == {"command"}
    content = (tmp_path / f"worklist-{TODAY}.ics").read_bytes()
    assert len(vobject.readOne(content.decode()).vevent_list) == 2
    assert b"Rowan" not in content
    assert b"P-1" not in content.replace(b"s1-P-1", b"").replace(b"s2-P-1", b"")


async def test_an_empty_worklist_is_not_written(tmp_path: Path) -> None:
    with Store(tmp_path) as empty:
        async with beside(empty) as scene:
            await scene.press("w", "x")
            assert "no line to export" in scene.words()
