"""The locked screen shows nothing, takes nothing, loses nothing without saying so, and gives back
the same place."""

from __future__ import annotations

from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from dataclasses import replace
from pathlib import Path

import pytest
from textual.widgets import Input, OptionList

from dictate.errors import StoreError
from dictate.exam.session import Session
from dictate.export.formats import BY_ENDING
from dictate.matching.matcher import Matcher
from dictate.pipeline.clinic import Clinic
from dictate.pipeline.examination import Examination
from dictate.pipeline.unlocking import Door
from dictate.speech.listener import Lost
from dictate.store import keys
from dictate.store.primitives import Cost
from dictate.store.store import Store
from dictate.tui.aloud import Aloud
from dictate.tui.app import ExamApp
from dictate.tui.desk_app import DeskApp
from dictate.tui.idle import FIRST_WAIT_S, LONGEST_WAIT_S, Idle, Tries
from dictate.tui.lockable import Lock
from dictate.tui.screens.finding import FindingDialog
from dictate.tui.screens.locking import DEAF, LockScreen
from dictate.tui.screens.patients import PatientsScreen
from dictate.tui.screens.reviewing import ReviewingScreen
from dictate.tui.screens.typing import TypingDialog
from dictate.tui.screens.worklist import WorklistScreen
from tests.records_samples import TODAY, beside
from tests.tui_samples import (
    LARGE,
    LEXICON,
    PLAQUE,
    SMALL,
    START,
    ULCER,
    Clock,
    HandFed,
    Keeper,
    Scene,
    running,
    spoken,
    terminal_text,
)

PASSPHRASE = "seven quay lanterns"
CHEAP = Cost(n=1 << 4)
PATIENT = "ROWAN-77"
TELLING = (PATIENT, "tongue", "Tongue", "plaque", "mm", "Rowan", "L1", "finding")
"""Words of the records that no locked screen may show."""


@asynccontextmanager
async def lockable(lock: Lock, size: tuple[int, int] = SMALL) -> AsyncIterator[Scene]:
    """An examination of a patient with one finding, and what locks it."""
    clock, keeper = Clock(), Keeper()
    session = Session.start("s1", LEXICON, START, patient=PATIENT)
    made = Examination(session, Matcher(LEXICON), keeper)
    app = ExamApp(made, LEXICON, HandFed, aloud=Aloud(command=None), clock=clock, lock=lock)
    async with app.run_test(size=size) as pilot:
        scene = Scene(app, pilot, clock, keeper)
        await scene.settle()
        await scene.say(PLAQUE)
        yield scene


@pytest.fixture
def home(tmp_path: Path) -> Path:
    with Store(tmp_path / "home") as store:
        store.database()
    keys.wrap(tmp_path / "home", keys.bare(tmp_path / "home"), PASSPHRASE, CHEAP)
    return tmp_path / "home"


def is_locked(scene: Scene) -> bool:
    return isinstance(scene.app.screen, LockScreen)


async def tried(scene: Scene, passphrase: str) -> None:
    """Type a passphrase and wait for the answer."""
    await scene.write(passphrase)
    await scene.press("enter")
    await scene.app.workers.wait_for_complete()
    await scene.settle()


@pytest.mark.parametrize("size", [SMALL, LARGE])
async def test_nothing_of_the_record_is_shown(size: tuple[int, int]) -> None:
    async with lockable(Lock(), size) as scene:
        assert PATIENT in scene.shown()
        assert "F9 Lock" in scene.words()
        await scene.press("f9")
        shown = scene.shown()
        assert is_locked(scene)
        assert "Locked" in shown
        assert DEAF in scene.words()
        assert "anybody can show it again" in scene.words()
        assert not [word for word in TELLING if word in shown.replace("Locked", "")]
        await scene.press("enter")
        assert not is_locked(scene)
        assert PATIENT in scene.shown()


async def test_no_key_does_anything_but_unlock() -> None:
    async with lockable(Lock()) as scene:
        await scene.press("f9")
        before = scene.session.events
        for key in "tpnbgmeadursvxlcwfkhoq?yA1/":
            await scene.press({"?": "question_mark", "/": "slash"}.get(key, key))
        await scene.press("f1", "f2", "f3", "f8", "f9", "escape", "tab", "delete", "space")
        await scene.press("ctrl+q", "ctrl+p", "ctrl+c", "ctrl+z", "up", "down")
        assert is_locked(scene)
        assert scene.app.is_running
        assert len(scene.app.screen_stack) == 2
        assert scene.session.events == before
        assert "Locked" in scene.shown()


async def test_what_is_said_changes_nothing_and_is_told_without_its_words() -> None:
    async with lockable(Lock()) as scene:
        await scene.press("f9")
        before, kept = scene.session.events, list(scene.keeper.events)
        scene.clock.now += 5
        await scene.say(ULCER, "leave", "yes", "next region", "resume")
        scene.listening.report(Lost(scene.clock.now - 1000.0, 0.5))
        await scene.settle()
        assert is_locked(scene)
        assert scene.session.events == before
        assert scene.keeper.events == kept
        assert "Said meanwhile, not recorded: 6 times" in scene.words()
        await scene.press("enter")
        assert scene.session.events == before
        assert "not recorded: 6 times" in scene.words()
        assert "ulcer" not in scene.shown()
        scene.clock.now += 1
        await scene.say(ULCER)
        assert len(scene.session.findings) == 2


async def test_what_was_being_said_when_it_was_locked_is_put_aside() -> None:
    async with lockable(Lock()) as scene:
        began = scene.clock.now - 1000.0 - 0.5
        await scene.press("f9")
        before = scene.session.events
        scene.clock.now += 2
        scene.listening.report(spoken(ULCER, began, began + 2))
        await scene.settle()
        assert scene.session.events == before
        await scene.press("enter")
        assert [each.text for each in scene.session.set_aside] == [ULCER]
        assert len(scene.session.findings) == 1


async def test_what_was_begun_behind_the_lock_is_not_taken_after_it() -> None:
    async with lockable(Lock()) as scene:
        await scene.press("f9")
        scene.clock.now += 5
        began = scene.clock.now - 1000.0
        scene.clock.now += 1
        await scene.press("enter")
        before = scene.session.events
        scene.listening.report(spoken(ULCER, began, began + 2))
        await scene.settle()
        assert scene.session.events == before
        assert "not recorded: 1 time" in scene.words()


async def test_a_pause_stays_a_pause() -> None:
    async with lockable(Lock()) as scene:
        await scene.press("p")
        began = scene.clock.now - 1000.0 - 0.5
        await scene.press("f9")
        before = scene.session.events
        scene.clock.now += 2
        scene.listening.report(spoken(ULCER, began, began + 1))
        await scene.settle()
        await scene.press("enter")
        assert scene.session.paused
        assert scene.session.events == before


async def test_it_locks_when_nobody_does_anything() -> None:
    async with lockable(Lock(after_s=600.0)) as scene:

        async def later(seconds: float) -> bool:
            scene.clock.now += seconds
            scene.app.watch_idle()
            await scene.settle()
            return is_locked(scene)

        assert not await later(599)
        await scene.press("up")
        assert not await later(599)
        await scene.say("next region")
        assert not await later(599)
        assert await later(1)
        await scene.press("enter")
        assert not await later(599)
        assert await later(1)


async def test_it_never_locks_by_itself_where_that_is_off() -> None:
    async with lockable(Lock(after_s=None)) as scene:
        scene.clock.now += 1e6
        scene.app.watch_idle()
        await scene.settle()
        assert not is_locked(scene)


async def test_only_the_passphrase_unlocks(home: Path) -> None:
    async with lockable(Lock(door=Door(home))) as scene:
        await scene.press("f9")
        await scene.press("enter")
        assert is_locked(scene)
        await tried(scene, "eleven harbour bells")
        assert is_locked(scene)
        assert "That is not the passphrase" in scene.words()
        await scene.write(PASSPHRASE)
        assert PASSPHRASE not in scene.shown()
        await scene.press("ctrl+a", "ctrl+c")
        assert scene.app.clipboard == ""
        field = scene.app.screen.query_one(Input)
        await tried(scene, "")
        assert not is_locked(scene)
        assert field.value == ""
        assert PATIENT in scene.shown()


async def test_wrong_passphrases_make_one_wait(home: Path) -> None:
    async with lockable(Lock(door=Door(home))) as scene:
        await scene.press("f9")
        for _ in range(3):
            await tried(scene, "wrong")
        field = scene.app.screen.query_one(Input)
        assert field.disabled
        assert "3 wrong passphrases. The next one is taken in 10 s" in scene.words()
        scene.clock.now += FIRST_WAIT_S - 1
        await watch(scene)
        assert field.disabled
        scene.clock.now += 1
        await watch(scene)
        assert not field.disabled
        await tried(scene, "wrong again")
        assert "4 wrong passphrases. The next one is taken in 20 s" in scene.words()
        scene.clock.now += 20
        await watch(scene)
        await tried(scene, PASSPHRASE)
        assert not is_locked(scene)


async def watch(scene: Scene) -> None:
    assert isinstance(scene.app.screen, LockScreen)
    scene.app.screen.watch_tries()
    await scene.settle()


def test_the_wait_grows_and_has_an_end() -> None:
    tries = Tries()
    waits = []
    for _ in range(30):
        tries.failed(0.0)
        waits.append(tries.wait_s(0.0))
    assert waits[:5] == [0, 0, 10, 20, 40]
    assert waits[-1] == LONGEST_WAIT_S


def test_idleness_counts_from_the_last_sign_of_life() -> None:
    idle = Idle(10.0, 5.0)
    assert not idle.is_over(14.9)
    assert idle.is_over(15.0)
    assert not replace(idle, after_s=None).is_over(1e9)


def gone(file: Path) -> None:
    file.unlink()


def spoilt(file: Path) -> None:
    file.write_bytes(b"{}\n")


def bare(file: Path) -> None:
    """Another store's key, that no passphrase guards."""
    file.unlink()
    keys.create(file.parent)


@pytest.mark.parametrize("meddle", [gone, spoilt, bare])
def test_meddling_with_the_key_file_of_a_locked_store_opens_nothing(
    home: Path, meddle: Callable[[Path], None]
) -> None:
    door = Door(home)
    assert door.has_passphrase()
    meddle(home / "store.key")
    assert not door.opens("wrong")
    assert door.opens(PASSPHRASE)


def test_a_changed_passphrase_counts_at_once(home: Path) -> None:
    door = Door(home)
    keys.wrap(home, keys.unlock(home, PASSPHRASE), "eleven harbour bells", CHEAP)
    assert not door.opens(PASSPHRASE)
    assert door.opens("eleven harbour bells")
    keys.unwrap(home, keys.unlock(home, "eleven harbour bells"))
    assert not door.has_passphrase()


def test_without_any_key_there_is_nothing_to_open(tmp_path: Path) -> None:
    door = Door(tmp_path)
    assert not door.has_passphrase()
    with pytest.raises(StoreError):
        door.opens(PASSPHRASE)


async def test_a_question_of_the_review_is_there_again_and_counts_as_asked_anew() -> None:
    async with lockable(Lock()) as scene:
        await scene.press("v")
        review = scene.app.screen
        assert isinstance(review, ReviewingScreen)
        asked, at = review.asked, review.asked_at
        scene.clock.now += 3
        await scene.press("f9")
        await scene.say("yes")
        await scene.press("y", "n", "enter")
        assert scene.app.screen is review
        assert review.asked == asked
        assert review.asked_at > at
        await scene.press("y")
        assert review.asked != asked


async def test_a_half_typed_line_goes_on_where_it_was() -> None:
    async with lockable(Lock()) as scene:
        await scene.press("t")
        await scene.pilot.press(*"ulcer", "left", "left")
        await scene.press("f9", "x", "enter")
        assert isinstance(scene.app.screen, TypingDialog)
        await scene.press("z")
        assert scene.app.screen.query_one(Input).value == "ulczer"


async def test_a_dialog_keeps_its_row() -> None:
    async with lockable(Lock()) as scene:
        await scene.press("e", "down", "down")
        dialog = scene.app.screen
        assert isinstance(dialog, FindingDialog)
        rows = dialog.query_one(OptionList)
        at = rows.highlighted
        assert at
        await scene.press("f9", "down", "enter")
        assert scene.app.screen is dialog
        assert rows.highlighted == at
        assert scene.app.focused is rows


async def test_the_records_screens_are_there_again(store: Store) -> None:
    async with beside(store, SMALL) as scene:
        await scene.press("f")
        await scene.write("row")
        await scene.press("f9")
        assert not [word for word in TELLING if word in scene.shown()]
        await scene.press("enter")
        assert isinstance(scene.app.screen, PatientsScreen)
        await scene.press("a")
        assert scene.app.screen.query_one(Input).value == "rowa"
        assert "2 patients" in scene.words()


async def test_the_desk_locks_too_and_does_not_speak_of_listening(store: Store) -> None:
    app = DeskApp(LEXICON, Clinic(store, lambda: TODAY), BY_ENDING, Lock(after_s=600.0))
    async with app.run_test(size=SMALL) as pilot:
        await pilot.pause()
        assert "Rowan" in terminal_text(app)
        await pilot.press("f9", "q", "ctrl+q", "escape")
        await pilot.pause()
        shown = terminal_text(app)
        assert "Locked" in shown
        assert "paused" not in shown
        assert "Rowan" not in shown
        await pilot.press("enter")
        await pilot.pause()
        assert isinstance(app.screen, WorklistScreen)


async def test_locked_twice_is_locked_once() -> None:
    async with running() as scene:
        scene.app.action_lock()
        scene.app.action_lock()
        await scene.settle()
        assert len(scene.app.screen_stack) == 2
        scene.app.unlock()
        scene.app.unlock()
        await scene.settle()
        assert len(scene.app.screen_stack) == 1
