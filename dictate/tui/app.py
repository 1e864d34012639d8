"""The application: screens over one examination, and a listening thread beside it."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable
from typing import Any, TypeVar

from rich.text import Text
from textual import on
from textual.app import SystemCommand
from textual.screen import Screen
from textual.widget import Widget

from dictate.exam import commands as cmd
from dictate.exam.commands import Command
from dictate.pipeline.clinic import Clinic
from dictate.pipeline.examination import Examination
from dictate.tui import by_voice, records_by_voice
from dictate.tui.aloud import Aloud
from dictate.tui.bridge import (
    Bridge,
    HearingBehind,
    HearingEnded,
    HearingLost,
    Soundings,
    SpeechLost,
    UtteranceHeard,
)
from dictate.tui.desk import Desk
from dictate.tui.hearing import Hearing
from dictate.tui.keys import KEYS
from dictate.tui.lockable import Lock, Lockable
from dictate.tui.obituary import obituary
from dictate.tui.ports import ListeningFactory, Writers
from dictate.tui.records_by_voice import ROW, NumberWords
from dictate.tui.routing import why_held
from dictate.tui.screens.aside import AsideDialog
from dictate.tui.screens.asking import AskingDialog
from dictate.tui.screens.base import BaseScreen, Dialog, Shown, Speech
from dictate.tui.screens.examining import ExaminingScreen
from dictate.tui.screens.helping import HelpDialog
from dictate.tui.screens.reviewing import ReviewingScreen
from dictate.tui.screens.typing import TypingDialog
from dictate.tui.spoken import SpokenForms
from dictate.tui.theme import THEMES
from dictate.tui.widgets.conversation import Conversation
from dictate.tui.widgets.level_meter import LevelMeter
from dictate.vocabulary.schema import Lexicon

Kind = TypeVar("Kind", bound=Widget)
_WATCH_S = 0.25
_KEEP_S = 2.0


class ExamApp(Lockable):
    """One examination on the screen. `run()` returns when the user leaves."""

    TITLE = "Examination"
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (120, "-wide")]  # noqa: RUF012

    def __init__(
        self,
        examination: Examination,
        lexicon: Lexicon,
        listening: ListeningFactory | None = None,
        writers: Writers | None = None,
        *,
        aloud: Aloud | None = None,
        clock: Callable[[], float] = time.monotonic,
        clinic: Clinic | None = None,
        lock: Lock | None = None,
    ) -> None:
        """`listening` None: keyboard only. `writers`: documents that can be exported. `clinic`:
        the records that can be opened beside the examination. `lock` None: it locks on its key
        alone, and asks for no passphrase."""
        desk = Desk(examination, lexicon)
        super().__init__(desk, clinic, writers or {}, aloud=aloud, clock=clock, lock=lock)
        for theme in THEMES:
            self.register_theme(theme)
        self.theme = THEMES[0].name
        self.hearing = Hearing("keyboard" if listening is None else "loading")
        self._bridge = Bridge(self.post_message, clock)
        self.listening = listening(self._bridge.report) if listening is not None else None
        self._late: str | None = None
        self._forms = SpokenForms(lexicon)
        self._numbers = NumberWords(lexicon)

    def get_default_screen(self) -> Screen[None]:
        return ExaminingScreen()

    def on_mount(self) -> None:
        self.desk.changed = self._changed
        self.set_interval(_WATCH_S, self.watch_hearing)
        self.set_interval(_KEEP_S, self.watch_keeping)
        if self.listening is not None:
            self.listening.start()
        self.call_after_refresh(self._changed)

    def on_unmount(self) -> None:
        self.reader.hush()
        if self.listening is not None:
            self.listening.stop()

    # The record on the screens

    def _changed(self) -> None:
        self._follow_session()
        for screen in self._shown():
            screen.show_record()

    def _shown(self) -> list[BaseScreen | Dialog[Any]]:
        """The screens that can be drawn on, the lowest first; none while the program closes."""
        if not self.is_running:  # Screens lose their parts one by one, and the clock still ticks.
            return []
        ours = (each for each in self.screen_stack if isinstance(each, BaseScreen | Dialog))
        return [each for each in ours if each.ready]

    def _follow_session(self) -> None:
        """Open or close the review as the session is in it or not; dialogs are left alone."""
        reviewing = self.desk.session.reviewing
        if reviewing and isinstance(self.screen, ExaminingScreen):
            self.push_screen(ReviewingScreen())
        elif not reviewing and isinstance(self.screen, ReviewingScreen):
            self.read_aloud("")
            self.pop_screen()

    def screen_uncovered(self) -> None:
        """A dialog was closed: what happened meanwhile may call for another screen."""
        self._follow_session()

    def follow(self) -> None:
        """Put the cursor of the findings on the newest."""
        for screen in self._shown():
            if isinstance(screen, ExaminingScreen):
                screen.follow()

    # What is heard

    def _hear(self, hearing: Hearing) -> None:
        if hearing == self.hearing:
            return
        self.hearing = hearing
        for screen in self._shown():
            screen.show_hearing(hearing)

    @on(Soundings)
    def _sound(self) -> None:
        level, partial = self._bridge.take()
        self._hear(self.hearing.heard_something())
        if level is not None:
            for meter in self._each(LevelMeter):
                meter.show_level(level, self.clock())
        if partial is not None and not self.locked:
            if partial.text:
                self.stir()
            self._show_partial(partial.text)

    def _each(self, kind: type[Kind]) -> list[Kind]:
        """The widgets of a kind on every screen that can be drawn on."""
        return [each for screen in self._shown() for each in screen.query(kind)]

    def _show_partial(self, text: str) -> None:
        for conversation in self._each(Conversation):
            conversation.show_live(text)

    @on(UtteranceHeard)
    def _utterance(self, event: UtteranceHeard) -> None:
        self._show_partial("")
        screen = self.screen
        number = self._numbers.number(self._numbers.words(event.utterance), ROW)
        said = self._forms.said(event.utterance, number)
        value = said.value
        if self.reader.drowned(event.began_at) and value != "read_silent":
            self.desk.refuse(event.utterance, "not heard while reading aloud")
            return
        if self.withheld(event):
            return
        if isinstance(screen, Shown) and screen.speech is Speech.HELD:
            self.desk.refuse(event.utterance, "nothing is heard while signing")
            return
        waits = isinstance(screen, Shown) and screen.speech is Speech.WAITS
        if waits and value in ("pause", "resume"):  # wherever one is, listening can be paused
            self.after_words(self.desk.hear(event.utterance))
            return
        if by_voice.heeded(self, event, said):
            return
        if records_by_voice.take(self, event, said, self._numbers):
            return
        if by_voice.take(self, event, said):
            return
        asked_at = screen.asked_at if isinstance(screen, ReviewingScreen) else None
        reviewing = self.desk.session.reviewing
        why = why_held(screen, reviewing=reviewing, began_at=event.began_at, asked_at=asked_at)
        if isinstance(screen, Shown) and screen.speech is Speech.CLOSES:
            screen.dismiss(None)
        if why is not None:
            self.desk.hold(event.utterance, why)
            return
        self.after_words(self.desk.hear(event.utterance))

    def after_words(self, commands: Iterable[Command]) -> None:
        """Do what spoken or typed commands ask of the screen itself."""
        for command in commands:
            if isinstance(command, cmd.Help):
                self.action_help()
            elif isinstance(command, cmd.OnScreen):
                if not records_by_voice.perform(self, command.act):
                    by_voice.perform(self, command.act)
            elif isinstance(command, cmd.Repeat) and isinstance(self.screen, ReviewingScreen):
                self.screen.read_again()

    @on(SpeechLost)
    def _speech_lost(self, event: SpeechLost) -> None:
        self._show_partial("")
        if self.withheld(event):
            return
        screen = self.screen
        held = isinstance(screen, Shown) and screen.speech is Speech.HELD
        if not held and not self.reader.drowned(event.began_at):
            self.desk.miss(event.start_s, event.end_s, event.why)

    @on(HearingBehind)
    def _behind(self, event: HearingBehind) -> None:
        self._hear(self.hearing.behind(event.busy))

    @on(HearingLost)
    def _lost(self, event: HearingLost) -> None:
        self._show_partial("")
        self._hear(self.hearing.lost(event.why))

    @on(HearingEnded)
    def _ended(self) -> None:
        self._show_partial("")
        self._hear(self.hearing.ended())

    def watch_hearing(self) -> None:
        """Notice that nothing comes from the listening thread, or that the voice has ended."""
        self._hear(self.hearing.watched(self.clock(), self._bridge.last_sound))
        self._hear(self.hearing.speaks(self.reader.speaking()))

    def watch_keeping(self) -> None:
        """Keep what is in memory alone as soon as the disk takes it: nothing more may be said.

        Tell once when the database, held or out of reach, falls behind, and when it has it all.
        """
        behind = self.desk.examination.behind
        if (behind is None) != (self._late is None):
            self._late = behind
            late = f"Kept on this machine, in the database later: {behind}" if behind else ""
            self.desk.tell(late or "The database has everything again", warning=bool(behind))
        if self.desk.problem is not None and self.desk.examination.retry():
            self.desk.tell("Saved: nothing is in memory alone any more")

    # Reading aloud

    def read_aloud(self, text: str) -> None:
        """Say it if reading aloud is on; nothing is heard meanwhile."""
        self.reader.read(text)
        self._hear(self.hearing.speaks(self.reader.speaking()))

    def action_aloud(self) -> None:
        self.switch_aloud(not self.reader.on)

    def switch_aloud(self, on: bool) -> None:
        """Read questions aloud, or no more."""
        if not self.reader.available:
            self.desk.tell("No speech synthesiser is installed (espeak-ng).", warning=True)
            return
        self.reader.on = on
        self.read_aloud("")
        if isinstance(self.screen, ReviewingScreen):
            self.screen.read_again()
        self.desk.tell(f"Reading aloud is {'on' if self.reader.on else 'off'}")

    # What the keys do

    def action_type(self) -> None:
        self.push_screen(TypingDialog())

    def action_pause(self) -> None:
        self.desk.do(cmd.Resume() if self.desk.session.paused else cmd.Pause())

    def action_next_region(self) -> None:
        self.desk.do(cmd.NextRegion())

    def action_previous_region(self) -> None:
        self.desk.do(cmd.PreviousRegion())

    def action_undo(self) -> None:
        self.desk.do(cmd.Undo())

    def action_redo(self) -> None:
        self.desk.do(cmd.Redo())

    def action_review(self) -> None:
        self.desk.do(cmd.StartReview())

    def action_aside(self) -> None:
        self.push_screen(AsideDialog())

    def action_help(self) -> None:
        screen = self.screen
        if isinstance(screen, HelpDialog):
            screen.dismiss(None)
        elif isinstance(screen, Shown) and screen.speech is not Speech.HELD:
            self.push_screen(HelpDialog(screen))

    def action_export(self) -> None:
        self.export(self.desk.session)

    def action_look(self) -> None:
        names = [theme.name for theme in THEMES]
        self.theme = names[(names.index(self.theme) + 1) % len(names)]

    def action_leave(self) -> None:
        question = AskingDialog("Leave the examination?", self.what_is_kept())
        self.push_screen(question, self._left)

    def what_is_kept(self) -> str:
        """What becomes of the examination when the program ends."""
        kept = "The record is final." if self.desk.session.is_final else "The draft is kept."
        return self.desk.problem or kept

    def _left(self, yes: bool | None) -> None:
        if yes:
            self.exit()

    async def action_quit(self) -> None:
        """Ctrl+q anywhere: ask first, once."""
        if not isinstance(self.screen, AskingDialog):
            self.action_leave()

    def _fatal_error(self) -> None:
        """Close after a fault of the program, without printing variables or messages."""
        self.bell()
        self.panic(Text(obituary(self._exception)))

    def get_system_commands(self, screen: Screen[object]) -> Iterable[SystemCommand]:
        """The command palette offers what the keys do."""
        for key in KEYS:
            if key.action.startswith("app."):
                action = getattr(self, f"action_{key.action.removeprefix('app.')}")
                yield SystemCommand(key.does.capitalize(), f"key {key.shown}", action)
