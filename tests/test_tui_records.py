"""The clinic's records beside a running examination: by key, by voice, and back again."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.widgets import Input

from dictate.errors import StoreError
from dictate.exam.session import Session
from dictate.exam.worklist import DueRow
from dictate.export.formats import BY_ENDING
from dictate.pipeline.clinic import Clinic
from dictate.pipeline.opening import new_examination
from dictate.store.store import Store
from dictate.store.worklist import Worklist
from dictate.tui.aloud import Aloud
from dictate.tui.app import ExamApp
from dictate.tui.desk_app import DeskApp, DeskScreen
from dictate.tui.screens.answer import AnswerScreen
from dictate.tui.screens.examining import ExaminingScreen
from dictate.tui.screens.exporting import ExportDialog
from dictate.tui.screens.helping import HelpDialog
from dictate.tui.screens.kept import KeptScreen
from dictate.tui.screens.lesion import LesionScreen
from dictate.tui.screens.patient import PatientScreen
from dictate.tui.screens.patients import PatientsScreen, read_time
from dictate.tui.screens.record import RecordScreen
from dictate.tui.screens.records import RecordsScreen
from dictate.tui.screens.versions import VersionsScreen
from dictate.tui.screens.worklist import WorklistScreen
from dictate.tui.widgets.field_list import FieldList
from tests.records_samples import TODAY, beside
from tests.tui_samples import LARGE, LEXICON, SMALL, on_top, terminal_text
from tests.visit_samples import FIRST, LATER


@pytest.mark.parametrize("size", [SMALL, LARGE])
async def test_the_worklist_leads_to_a_lesion_and_its_record_and_back(
    store: Store, size: tuple[int, int]
) -> None:
    async with beside(store, size) as scene:
        await scene.press("w")
        text = scene.words()
        assert "1 overdue" in text
        assert "1 awaiting" in text
        assert "Ada Rowan" in text
        assert "beside the examination of P-1" in text
        await scene.press("enter")
        text = scene.words()
        assert on_top(scene, LesionScreen)
        assert "10 by 6 mm" in text
        assert "6 by 4 mm smaller: longest -4 mm (-40%), product -60%" in text
        assert "re-check on 18 March 2031: trauma likely (A. Berg)" in text
        await scene.press("enter")
        assert on_top(scene, RecordScreen)
        assert f"Visit of {FIRST}, patient P-1" in scene.words()
        await scene.press("escape", "escape", "escape")
        assert on_top(scene, ExaminingScreen)


@pytest.mark.parametrize("size", [SMALL, LARGE])
async def test_patients_are_found_by_name_and_by_day(store: Store, size: tuple[int, int]) -> None:
    async with beside(store, size) as scene:
        await scene.press("f")
        assert "3 patients" in scene.words()
        await scene.write("rowan")
        assert "2 patients" in scene.words()
        field = scene.app.screen.query_one(Input)
        field.value = str(LATER)
        await scene.settle()
        assert f"2 patients seen from {LATER} to {LATER}" in scene.words()
        field.value = "2031-04"
        await scene.settle()
        assert "There is no such patient" in scene.words()
        field.value = "p-2"
        await scene.settle()
        await scene.press("enter")
        assert on_top(scene, PatientScreen)
        text = scene.words()
        assert "P-2 Bram Thistle, born 1950" in text
        assert "awaited: refer" in text
        await scene.press("f8")
        assert on_top(scene, ExaminingScreen)


def test_days_to_search_by() -> None:
    assert read_time("2031-03") == (FIRST.replace(day=1), FIRST.replace(day=31))
    assert read_time("2031-03-04") == (FIRST, FIRST)
    assert read_time("2031-03-04..2031-03-18") == (FIRST, LATER)
    assert read_time("2031-03-04 to 2031-03") == (FIRST, FIRST.replace(day=31))
    assert read_time("2031-02-30") is None
    assert read_time("2031") is None, "a number may be an identifier"
    assert read_time("2031..2032") == (FIRST.replace(month=1, day=1), LATER.replace(2032, 12, 31))


async def test_everything_is_reached_by_voice(store: Store) -> None:
    async with beside(store) as scene:
        await scene.say("show the worklist", "row two")
        assert on_top(scene, LesionScreen)
        assert "patient P-2" in scene.words()
        await scene.say("record the answer")
        assert on_top(scene, AnswerScreen)
        await scene.say("close", "one down", "open it")
        assert on_top(scene, RecordScreen)
        await scene.say("export the summary")
        assert on_top(scene, ExportDialog)
        await scene.say("close", "back to the examination")
        assert on_top(scene, ExaminingScreen)
        await scene.say("find a patient", "two")
        assert on_top(scene, PatientsScreen)
        assert scene.app.screen.query_one(Input).value == "2"
        await scene.say("row one")
        assert "P-2 Bram Thistle" in scene.words()
        await scene.say("back to the examination", "find patient number three")
        assert scene.app.screen.query_one(Input).value == "3"
        assert "1 patient" in scene.words()
        await scene.say("zero zero seven")
        assert scene.app.screen.query_one(Input).value == "007"
        await scene.say("back to the examination", "find patient double oh one")
        assert scene.app.screen.query_one(Input).value == "001"
        await scene.say("patient number two")
        assert scene.app.screen.query_one(Input).value == "2"
        await scene.say("return to the examination", "show all records")
        assert on_top(scene, KeptScreen)
        assert "6 records, 1 draft among them" in scene.words()
        await scene.say("row two")
        assert on_top(scene, RecordScreen)
        await scene.say("return to the examination", "show earlier visits")
        assert "P-1 Ada Rowan" in scene.words()
        assert {each.kind for each in scene.session.utterances} == {"command"}


async def test_dictation_over_another_patients_record_is_kept_aside_and_never_recorded(
    store: Store,
) -> None:
    async with beside(store) as scene:
        await scene.say("smokes ten a day", "show the worklist", "row two")
        assert "smokes" not in scene.words(), "what was told of P-1 does not stand on P-2's page"
        await scene.say("lesion one resolved", "refer")
        assert scene.session.lesions[0].status == "not mentioned"
        assert not scene.session.findings
        assert [each.text for each in scene.session.set_aside] == ["lesion one resolved", "refer"]
        assert "Not taken" in scene.words()
        await scene.say("show the open lesions")
        assert not any(isinstance(each, RecordsScreen) for each in scene.app.screen_stack)
        await scene.say("lesion one resolved")
        assert scene.session.lesions[0].status == "resolved"


async def test_a_dialog_over_records_does_not_let_dictation_through(store: Store) -> None:
    async with beside(store) as scene:
        await scene.say("show the worklist", "row one", "open it", "export the summary")
        assert on_top(scene, ExportDialog)
        await scene.say("white plaque on the left lateral border of the tongue ten millimetres")
        assert not scene.session.findings
        assert len(scene.session.set_aside) == 1


async def test_an_answer_is_recorded_from_the_worklist(store: Store) -> None:
    async with beside(store) as scene:
        await scene.press("w", "r")
        assert "Choose a line that awaits an answer" in scene.words()
        await scene.press("down", "r")
        assert "Bram Thistle" in scene.words()
        await scene.press("ctrl+s")
        assert "A name is missing" in scene.words()
        scene.app.screen.query_one("#by", Input).value = "A. Berg"
        await scene.press("ctrl+s")
        assert "Give the answer in words" in scene.words()
        assert store.load("s1-P-2").version == 1
        await scene.write("No dysplasia")
        scene.app.screen.query_one("#recheck", Input).value = "2031-09"
        await scene.press("ctrl+s")
        assert "Write a day as 2031-03-04" in scene.words()
        scene.app.screen.query_one("#recheck", Input).value = "2031-09-21"
        await scene.press("ctrl+s")
        assert on_top(scene, WorklistScreen)
        assert "0 awaiting" in scene.words()
        assert "recorded in version 2" in scene.words()
    row = next(each for each in Worklist(store).due(TODAY) if each.patient == "P-2")
    assert (row.status, str(row.due)) == ("later", "2031-09-21")


async def test_a_record_is_amended_with_who_and_why_and_its_versions_stay_readable(
    store: Store,
) -> None:
    async with beside(store) as scene:
        await scene.say("show the worklist", "row two", "open it")
        await scene.press("v")
        assert "never amended" in scene.words()
        await scene.press("m", "enter")
        assert "Amend finding f1" in scene.words()
        names = scene.app.screen.query_one(FieldList)
        names.highlighted = names.get_option_index("size_mm")
        await scene.press("enter")
        await scene.write("12 x 6")
        await scene.press("enter", "escape")
        assert "f1 size: 10 by 6 mm -> 12 by 6 mm" in scene.words()
        await scene.press("ctrl+s")
        assert "Say why the record is amended" in scene.words()
        scene.app.screen.query_one("#why", Input).value = "misread the ruler"
        scene.app.screen.query_one("#by", Input).value = "B. Holm"
        await scene.press("ctrl+s")
        assert "Final, signed by A. Berg, version 2" in scene.words()
        assert "12 by 6 mm" in scene.words()
        await scene.say("show the amendments")
        assert on_top(scene, VersionsScreen)
        text = scene.words()
        assert "B. Holm" in text
        assert "because: misread the ruler" in text
        await scene.press("down", "enter")
        assert "Version 1, as it was then" in scene.words()
        assert "10 by 6 mm" in scene.words()
        await scene.pilot.resize_terminal(*LARGE)
        await scene.press("escape", "m")
        assert "Amend the visit of 2031-03-04, patient P-2" in scene.words()
        assert "ctrl+s Amend" in scene.words()
    assert store.load("s1-P-2").version == 2


async def test_an_amendment_is_never_spoken_and_dropped_only_after_a_yes(store: Store) -> None:
    async with beside(store) as scene:
        await scene.say("show the worklist", "row two", "open it")
        await scene.press("m", "d")
        assert "f1: struck out" in scene.words()
        await scene.say("yes", "close")
        assert "Drop the amendment?" in scene.words()
        await scene.press("n", "f8")
        assert "Drop the amendment?" in scene.words()
        await scene.press("n", "escape", "y")
        assert on_top(scene, RecordScreen)
        assert store.load("s1-P-2").version == 1


async def test_documents_of_an_older_record_are_written_with_the_patients_name(
    store: Store, tmp_path: Path
) -> None:
    folder = tmp_path / "out"
    folder.mkdir()
    async with beside(store) as scene:
        await scene.say("show the worklist", "row two", "open it")
        for ending in ("txt", "letter.txt", "letter.pdf"):
            await scene.press("x")
            scene.app.screen.query_one(Input).value = str(folder / f"a.{ending}")
            await scene.press("enter")
            await scene.app.workers.wait_for_complete()
            await scene.settle()
            assert on_top(scene, RecordScreen)
            assert "Written, outside the record store" in scene.words()
            assert (folder / f"a.{ending}").stat().st_size > 0
    assert "Bram Thistle" in (folder / "a.txt").read_text("utf-8")
    assert "Bram Thistle" in (folder / "a.letter.txt").read_text("utf-8")
    assert (folder / "a.letter.pdf").read_bytes().startswith(b"%PDF")


async def test_without_records_nothing_opens_silently(store: Store) -> None:
    async with beside(store, patient=None) as scene:
        await scene.press("h")
        assert "of no patient that was named" in scene.words()
        await scene.press("l")
        assert "No lesion of an earlier visit is open" in scene.words()
        scene.app.clinic = None
        await scene.press("w")
        assert "No records are kept beside this examination" in scene.words()


async def test_the_desk_shows_the_records_without_any_examination(store: Store) -> None:
    app = DeskApp(LEXICON, Clinic(store, lambda: TODAY), BY_ENDING)
    async with app.run_test(size=SMALL) as pilot:
        await pilot.pause()
        assert isinstance(app.screen, WorklistScreen)
        assert "beside the examination" not in terminal_text(app)
        await pilot.press("escape")
        assert "1 overdue" in terminal_text(app)
        await pilot.press("f", *"p-2", "enter")
        await pilot.pause()
        assert isinstance(app.screen, PatientScreen)
        await pilot.press("f8")
        assert isinstance(app.screen, DeskScreen)
        await pilot.press("f", *"p-2", "enter")
        await pilot.pause()
        await pilot.press("b")
    assert app.wanted == "P-2"
    assert app.desk.session.utterances == ()


async def test_a_new_patient_is_told_at_once_and_the_draft_is_given_to_the_right_one(
    store: Store,
) -> None:
    examination = new_examination(store, LEXICON, patient="P-11")
    app = ExamApp(
        examination, LEXICON, None, BY_ENDING, aloud=Aloud(command=None), clinic=Clinic(store)
    )
    async with app.run_test(size=SMALL) as pilot:
        await pilot.pause()
        assert "New patient P-11: not seen before" in terminal_text(app)
        await pilot.press("v")
        await pilot.pause()
        assert "WHOSE RECORD IS THIS?" in terminal_text(app)
        await pilot.press("n")
        await pilot.pause()
        assert "P-1 Ada Rowan" in terminal_text(app)
        await pilot.press("tab", "enter")
        await pilot.pause()
        assert app.desk.session.patient == "P-1"
        assert "goes on under P-1" in terminal_text(app)
        assert "WHOSE RECORD" not in terminal_text(app)


async def test_after_signing_records_open_by_voice_and_other_words_are_shown_not_kept(
    store: Store,
) -> None:
    async with beside(store, patient=None) as scene:
        await scene.press("v")
        while scene.session.review is not None and scene.session.review.open:
            await scene.press("y")
        await scene.press("enter")
        await scene.write("A. Berg")
        await scene.press("enter")
        assert scene.session.is_final
        events = len(scene.session.events)
        await scene.say("show the worklist", "row two", "lesion one resolved")
        assert on_top(scene, LesionScreen)
        assert "Not taken" in scene.words()
        await scene.say("open it", "export the summary")
        screen = scene.app.screen
        assert isinstance(screen, ExportDialog)
        screen.opened_at = scene.clock.now + 60
        await scene.say("yes")
        assert "said before this dialog was on the screen" in scene.words()
        await scene.say("close", "back to the examination")
        assert on_top(scene, ExaminingScreen)
        assert len(scene.session.events) == events


class Unreadable(Clinic):
    """A clinic whose database has just failed."""

    def due(self) -> tuple[DueRow, ...]:
        raise StoreError("The records cannot be read: disk failure; restore a backup.")

    def record(self, session: str) -> Session:
        raise StoreError("The record is damaged; restore it from a backup.")


async def test_what_cannot_be_read_is_told_and_the_examination_goes_on(store: Store) -> None:
    async with beside(store) as scene:
        scene.app.clinic = Unreadable(store, lambda: TODAY)
        await scene.press("w")
        assert "disk failure; restore a backup" in scene.words()
        await scene.press("f8", "f", "enter", "down", "enter")
        assert "The record is damaged" in scene.words()
        await scene.press("x", "v", "m", "f8")
        await scene.say("lesion one same as last time")
        assert scene.session.lesions[0].status == "same"


async def test_help_over_another_patients_record_takes_no_dictation(store: Store) -> None:
    async with beside(store) as scene:
        await scene.say("show the worklist", "row two", "help")
        assert on_top(scene, HelpDialog)
        text = scene.words()
        assert "Record the answer" in text
        assert "“record the answer”" in text
        await scene.say("scroll down")
        assert on_top(scene, HelpDialog)
        await scene.say("white plaque left buccal mucosa four millimetres")
        assert on_top(scene, LesionScreen)
        assert not scene.session.findings
        assert "records are on the screen" in scene.session.set_aside[-1].why
        await scene.press("f1")
        assert on_top(scene, HelpDialog)
        await scene.press("f1")
        assert on_top(scene, LesionScreen)


@pytest.mark.parametrize("size", [SMALL, LARGE])
async def test_every_key_of_a_records_screen_is_at_its_foot(
    store: Store, size: tuple[int, int]
) -> None:
    """Against the keys that are bound: none is left out for want of room."""
    async with beside(store, size) as scene:
        for keys in (("w",), ("enter",), ("f8", "f", "enter"), ("f8", "k", "enter"), ("m",)):
            await scene.press(*keys)
            screen = scene.app.screen
            foot = " ".join(scene.shown().split("\n")[-4:]).replace("│", " ")
            own = [each for each in type(screen).__dict__["BINDINGS"] if each.show]
            assert own
            for each in own:
                if each.action in ("begin", "drop"):
                    continue  # at the desk only; where something was added
                name = each.key.replace("ctrl+n", "^n")
                assert f" {name} " in foot, (type(screen).__name__, each.key)
            for always in ("F1 Help", "F8 ", "F9 Lock", "esc Back"):
                assert always in foot


async def test_a_letter_is_addressed_on_the_screen(store: Store, tmp_path: Path) -> None:
    async with beside(store) as scene:
        await scene.say("show the worklist", "row two", "open it", "export the summary")
        await scene.press("f5")
        assert "Only a letter is addressed" in scene.words()
        scene.app.screen.query_one(Input).value = str(tmp_path / "a.letter.txt")
        await scene.press("f5")
        for text in ("Oral Medicine; Harbour Hospital", "A. Berg", "please see within two weeks"):
            await scene.write(text)
            await scene.press("enter")
        assert "The letter is addressed" in scene.words()
        await scene.press("enter")
        assert "Written, outside the record store" in scene.words()
    letter = (tmp_path / "a.letter.txt").read_text("utf-8")
    assert "To:\nOral Medicine\nHarbour Hospital\n" in letter
    assert "From:\nA. Berg\n" in letter
    assert f"Date: {TODAY}" in letter
    assert "Please see within two weeks." in " ".join(letter.split())
    assert "____\n\nConfirmed" in letter, "it is signed by hand"
