"""The locked screen: it covers everything, and takes nothing but what unlocks it."""

from __future__ import annotations

import math
from functools import partial
from typing import TYPE_CHECKING, ClassVar, cast

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.content import Content
from textual.widgets import Input, Static

from dictate.errors import DictateError
from dictate.pipeline.unlocking import Door
from dictate.tui.hearing import Hearing
from dictate.tui.idle import Tries
from dictate.tui.plain import visible
from dictate.tui.screens.base import BaseScreen, Speech
from dictate.tui.widgets.passphrase_field import PassphraseField
from dictate.tui.wording import counted

if TYPE_CHECKING:
    from dictate.tui.lockable import Lockable

DEAF = "Nothing said now is recorded; the microphone stays open."
ONLY_HIDES = (
    "No passphrase is set, so this only hides the screen: anybody can show it again. "
    "`dictate passphrase set` makes it a lock."
)
_WATCH_S = 0.5


class LockScreen(BaseScreen):
    """Shows nothing of the record."""

    speech: ClassVar[Speech] = Speech.HELD
    BINDINGS: ClassVar[list[BindingType]] = [Binding("enter", "show_again", "Show", show=False)]
    DEFAULT_CSS = """
    LockScreen { align: center middle; }
    LockScreen > Vertical { width: 64; max-width: 100%; height: auto; padding: 1 2; }
    LockScreen > Vertical { border: round $primary; }
    LockScreen Static { height: auto; margin: 0 0 1 0; }
    LockScreen .title { text-style: bold; color: $primary; }
    LockScreen #deaf { color: $warning; text-style: bold; }
    LockScreen #missed { display: none; color: $warning; margin: 0; }
    LockScreen #told { display: none; color: $error; text-style: bold; }
    LockScreen .hint { color: $muted; margin: 0; }
    LockScreen Input { border: none; height: 1; padding: 0 1; margin: 0 0 1 0; }
    LockScreen Input { background: $panel; }
    LockScreen Input:focus { border: none; background-tint: $foreground 0%; }
    """

    def __init__(self, door: Door | None, tries: Tries, *, deafens: bool) -> None:
        """`door`: what a passphrase must open; None where none is set. `deafens`: the program
        would listen if it were not locked."""
        super().__init__()
        self._door, self._tries, self._deafens = door, tries, deafens
        self._checking = False

    @property
    def _lockable(self) -> Lockable:
        return cast("Lockable", self.app)

    def compose(self) -> ComposeResult:
        with Vertical():
            yield Static(Content("Locked"), classes="title")
            if self._deafens:
                yield Static(Content(DEAF), id="deaf")
            if self._door is None:
                yield Static(Content(ONLY_HIDES))
            else:
                yield PassphraseField("passphrase of the records")
            yield Static(id="told")
            hint = "enter shows the screen" if self._door is None else "enter unlocks"
            yield Static(Content(f"{hint}   nothing of the record is changed meanwhile"))
            yield Static(id="missed")

    def on_mount(self) -> None:
        self.set_interval(_WATCH_S, self.watch_tries)
        self.watch_tries()

    def show_hearing(self, hearing: Hearing) -> None:
        """Whatever could be heard, nothing is."""

    def show_missed(self, times: int) -> None:
        """How often something was said that is not recorded."""
        line = self.query_one("#missed", Static)
        line.update(Content(f"Said meanwhile, not recorded: {counted(times, 'time')}"))
        line.display = times > 0

    def watch_tries(self) -> None:
        """Take no passphrase while wrong ones make one wait, and say for how long."""
        if self._door is None or self._checking:
            return
        field, wait_s = self.query_one(PassphraseField), self._tries.wait_s(self._lockable.clock())
        if wait_s:
            field.disabled = True
            self._tell(
                f"{counted(self._tries.wrong, 'wrong passphrase')}. "
                f"The next one is taken in {math.ceil(wait_s)} s."
            )
        elif field.disabled:
            self._tell("")
            self._ask(field)

    def action_show_again(self) -> None:
        if self._door is None:
            self._lockable.unlock()

    @on(Input.Submitted)
    def _try(self, event: Input.Submitted) -> None:
        passphrase, field = event.value, self.query_one(PassphraseField)
        field.clear()
        if self._door is None or self._checking or not passphrase:
            return
        self._checking = field.disabled = True
        self._tell("")
        self.run_worker(partial(self._check, self._door, passphrase), thread=True)

    def _check(self, door: Door, passphrase: str) -> None:
        try:
            answer: bool | str = door.opens(passphrase)
        except DictateError as error:
            answer = str(error)
        self.app.call_from_thread(self._checked, answer)

    def _checked(self, answer: bool | str) -> None:
        """True: it opens; False: it does not; else why that is not known."""
        self._checking = False
        if answer is True:
            self._lockable.unlock()
            return
        if answer is False:
            self._tries.failed(self._lockable.clock())
        self._ask(self.query_one(PassphraseField))
        self._tell(answer or "That is not the passphrase.")
        self.watch_tries()

    def _ask(self, field: PassphraseField) -> None:
        field.disabled = False
        field.focus()

    def _tell(self, text: str) -> None:
        line = self.query_one("#told", Static)
        line.update(Content(visible(text)))
        line.display = bool(text)
