"""Writing a summary: to the chosen place, readable by its owner alone, with a warning."""

from __future__ import annotations

import json
import os
import stat
from pathlib import Path

import pytest
from pypdf import PdfReader
from textual.widgets import Input

from dictate.export.formats import BY_ENDING, WRITERS
from dictate.tui.screens.asking import AskingDialog
from dictate.tui.screens.exporting import ExportDialog
from dictate.tui.screens.saving import write_private
from tests.tui_samples import PLAQUE, Scene, running

NAMED = {"txt": WRITERS["text"], "json": WRITERS["json"]}


async def export_to(scene: Scene, path: Path) -> None:
    await scene.press("x")
    scene.app.screen.query_one(Input).value = str(path)
    await scene.press("enter")


async def test_a_summary_is_written_with_a_warning_and_for_the_owner_alone(tmp_path: Path) -> None:
    async with running(writers=NAMED) as scene:
        await scene.say(PLAQUE)
        await scene.press("x")
        assert "This file leaves the record store" in scene.words()
        assert "draft, not signed" in scene.words()
        await scene.press("escape")
        target = tmp_path / "summary.txt"
        await export_to(scene, target)
        assert "10 by 6 mm" in target.read_text(encoding="utf-8")
        assert stat.S_IMODE(target.stat().st_mode) == 0o600
        assert os.listdir(tmp_path) == ["summary.txt"]
        assert "outside the record store" in scene.words()


async def test_the_ending_of_the_name_decides_the_kind(tmp_path: Path) -> None:
    async with running(writers=NAMED) as scene:
        await scene.say(PLAQUE)
        await scene.press("x")
        field = scene.app.screen.query_one(Input)
        assert field.value.endswith(".txt")
        await scene.press("f3")
        assert field.value.endswith(".json")
        assert field.cursor_position == len(field.value), "ctrl+u takes all of it away"
        await scene.press("escape")
        await export_to(scene, tmp_path / "summary.json")
        data = json.loads((tmp_path / "summary.json").read_text(encoding="utf-8"))
        assert data["findings"][0]["size_mm"] == [10.0, 6.0]
        await export_to(scene, tmp_path / "summary.doc")
        assert "ends in .txt or .json" in scene.words()
        assert not (tmp_path / "summary.doc").exists()


async def test_a_file_that_is_there_is_replaced_only_after_a_yes(tmp_path: Path) -> None:
    target = tmp_path / "old.txt"
    target.write_text("older", encoding="utf-8")
    async with running(writers=NAMED) as scene:
        await export_to(scene, target)
        assert isinstance(scene.app.screen, AskingDialog)
        await scene.press("n")
        assert target.read_text(encoding="utf-8") == "older"
        await scene.press("enter", "y")
        assert "older" not in target.read_text(encoding="utf-8")
        assert stat.S_IMODE(target.stat().st_mode) == 0o600


async def test_a_place_that_cannot_be_written_is_told_and_asked_for_again(tmp_path: Path) -> None:
    async with running(writers=NAMED) as scene:
        await export_to(scene, tmp_path / "missing" / "summary.txt")
        assert isinstance(scene.app.screen, ExportDialog)
        assert "No such file or directory" in scene.words()
        assert "Choose another place" in scene.words()


async def test_a_new_file_name_is_proposed_without_anything_identifying() -> None:
    async with running(writers=NAMED) as scene:
        await scene.press("x")
        assert Path(scene.app.screen.query_one(Input).value).name == "examination-s1.txt"


def test_nothing_is_left_behind_when_writing_fails(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OSError, match="No space left"):
        write_private(tmp_path / "summary.txt", "words")
    assert os.listdir(tmp_path) == []


async def protect(scene: Scene, first: str, second: str) -> None:
    await scene.press("f4")
    await scene.write(first)
    await scene.press("enter")
    await scene.write(second)
    await scene.press("enter")


async def test_a_pdf_opens_with_the_passphrase_only(tmp_path: Path) -> None:
    target, passphrase = tmp_path / "summary.pdf", "lantern quay"
    async with running(writers={"pdf": BY_ENDING["pdf"], "txt": WRITERS["text"]}) as scene:
        await scene.say(PLAQUE)
        await scene.press("x")
        assert "F4 protects a PDF" in scene.words()
        await protect(scene, passphrase, "lantern key")
        assert "not the same" in scene.words()
        assert "lantern" not in scene.shown()
        await scene.press("escape")
        await protect(scene, passphrase, passphrase)
        assert "opens with the passphrase only" in scene.words()
        scene.app.screen.query_one(Input).value = str(tmp_path / "summary.txt")
        await scene.press("enter")
        assert "Only a PDF can be protected" in scene.words()
        scene.app.screen.query_one(Input).value = str(target)
        await scene.press("enter")
        await scene.app.workers.wait_for_complete()
        await scene.settle()
    assert os.listdir(tmp_path) == ["summary.pdf"]
    assert PdfReader(target).is_encrypted
    assert not PdfReader(target).decrypt("lantern key")
    reader = PdfReader(target)
    assert reader.decrypt(passphrase)
    assert "10 by 6 mm" in " ".join(page.extract_text() for page in reader.pages)


async def test_the_passphrase_of_a_pdf_is_long_enough_and_can_be_taken_away(
    tmp_path: Path,
) -> None:
    async with running(writers=NAMED | {"pdf": BY_ENDING["pdf"]}) as scene:
        await scene.press("x", "f4")
        assert "Only a PDF can be protected" in scene.words()
        scene.app.screen.query_one(Input).value = str(tmp_path / "summary.pdf")
        await protect(scene, "lantern", "lantern")
        assert "shorter than 8 characters" in scene.words()
        await scene.press("escape")
        await protect(scene, "lantern quay", "lantern quay")
        await scene.press("f4")
        assert "opens with the passphrase only" not in scene.words()
