"""Locking the screen, on a key and when nobody has done anything for a while."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import ClassVar

from textual import events
from textual.binding import Binding, BindingType

from dictate.pipeline.clinic import Clinic
from dictate.pipeline.unlocking import Door
from dictate.tui.aloud import Aloud, Reader
from dictate.tui.beside import Beside
from dictate.tui.bridge import SpeechLost, UtteranceHeard
from dictate.tui.desk import Desk
from dictate.tui.idle import Idle, Tries
from dictate.tui.ports import Listening, Writers
from dictate.tui.screens.base import Shown, Speech
from dictate.tui.screens.locking import LockScreen
from dictate.tui.wording import counted

_WATCH_S = 1.0
_COVERED = "the screen was locked before it was taken: take it up, or say it again"


@dataclass(frozen=True, slots=True)
class Lock:
    """When the screen locks by itself, and what unlocks it."""

    after_s: float | None = None
    """Seconds without a key or a word; None: never."""
    door: Door | None = None
    """What the passphrase must open; None: there is none."""


class Lockable(Beside):
    """The part of the application that locks.

    While it is locked the record stays as it is: what is said is counted and told, without its
    words, and what was being said when it was locked is put aside once it is unlocked.
    """

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f9", "lock", "Lock the screen", show=False, priority=True)
    ]
    listening: Listening | None = None

    def __init__(
        self,
        desk: Desk,
        clinic: Clinic | None,
        writers: Writers,
        *,
        aloud: Aloud | None,
        clock: Callable[[], float],
        lock: Lock | None,
    ) -> None:
        super().__init__(desk, clinic, writers)
        self.clock = clock
        self.reader = Reader(aloud or Aloud(), clock)
        self._lock = lock or Lock()
        self._idle = Idle(self._lock.after_s, clock())
        self._tries = Tries()
        self._from, self._until = math.inf, -math.inf
        self._begun: list[UtteranceHeard | SpeechLost] = []
        self._missed = 0
        self._cover: LockScreen | None = None

    def on_mount(self) -> None:
        self.set_interval(_WATCH_S, self.watch_idle)

    async def on_event(self, event: events.Event) -> None:
        if isinstance(event, events.Key | events.Paste | events.MouseDown):
            self.stir()
        await super().on_event(event)

    def stir(self) -> None:
        """Somebody is there: a key was pressed, or a word was said."""
        self._idle.stir(self.clock())

    def watch_idle(self) -> None:
        """Lock if nobody has done anything for long enough."""
        if self._idle.is_over(self.clock()):
            self.action_lock()

    @property
    def locked(self) -> bool:
        """True while nothing is shown and nothing but unlocking is possible."""
        return self._cover is not None

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """No key of the application does anything while it is locked, leaving it included."""
        return not self.locked and super().check_action(action, parameters)

    def action_lock(self) -> None:
        if self.locked:
            return
        self.reader.hush()
        self.clear_notifications()
        self._from, self._until = self.clock(), math.inf
        door = self._lock.door
        asks = door if door is not None and door.has_passphrase() else None
        self._cover = LockScreen(asks, self._tries, deafens=self.listening is not None)
        self.push_screen(self._cover)

    def unlock(self) -> None:
        """Show again what was shown, and tell what was said meanwhile."""
        if self._cover is None:
            return
        self._until, self._tries, self._cover = self.clock(), Tries(), None
        self.stir()
        self.pop_screen()
        for event in self._begun:
            self._put_aside(event)
        if self._missed:
            self._tell_missed(self._missed)
        self._begun, self._missed = [], 0

    # What is said meanwhile

    def withheld(self, event: UtteranceHeard | SpeechLost) -> bool:
        """Keep from the record what is said behind a locked screen; False for all else.

        Sounds without a word are no sign that somebody is there.
        """
        began = event.began_at
        if self.locked:
            if began is not None and began < self._from:
                self._begun.append(event)
            else:
                self._miss()
            return True
        if began is not None and self._from <= began < self._until:
            self._tell_missed(1)
            return True
        if isinstance(event, UtteranceHeard):
            self.stir()
        return False

    def _miss(self) -> None:
        self._missed += 1
        if self._cover is not None and self._cover.ready:
            self._cover.show_missed(self._missed)

    def _put_aside(self, event: UtteranceHeard | SpeechLost) -> None:
        screen = self.screen
        deaf = isinstance(screen, Shown) and screen.speech is Speech.HELD
        if isinstance(event, SpeechLost):
            if not deaf:
                self.desk.miss(event.start_s, event.end_s, event.why)
        elif deaf or self.desk.session.paused:
            self.desk.refuse(event.utterance, "the screen was locked")
        else:
            self.desk.hold(event.utterance, _COVERED)

    def _tell_missed(self, times: int) -> None:
        why = f"said while the screen was locked, not recorded: {counted(times, 'time')}"
        self.desk.overhear(f"{why}. Say it again if it is to be recorded")
