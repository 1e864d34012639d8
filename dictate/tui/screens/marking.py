"""Saying by keyboard what was done at a region."""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.content import Content
from textual.widgets import Input, Static

from dictate.exam.commands import MarkRegion, RegionState
from dictate.exam.events import KEYBOARD, VOICE
from dictate.speech.heard import Utterance
from dictate.tui.plain import visible
from dictate.tui.screens.base import Dialog, Speech
from dictate.tui.spoken import Said
from dictate.vocabulary.schema import Slot

_SIDES = (None, "right", "left")
_SPOKEN_SIDES = {"right": "right", "left": "left", "bilateral": None}
_NO_REASON = "no reason given"
_STATES: dict[str, RegionState] = {
    "i": "inspected",
    "p": "palpated",
    "n": "normal",
    "x": "not_examined",
}


class MarkingDialog(Dialog[None]):
    """One key or word marks the region; tab or a side's name changes the side before that."""

    cautious: ClassVar[bool] = True

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("i", "mark('i')", "Looked at"),
        Binding("p", "mark('p')", "Felt"),
        Binding("n", "mark('n')", "Normal"),
        Binding("x", "mark('x')", "Not examined"),
        Binding("s,tab", "side", "Side", priority=True),
    ]

    def __init__(self, region: str) -> None:
        super().__init__()
        self._region = region
        self._side: str | None = None

    def compose(self) -> ComposeResult:
        with Vertical(classes="box"):
            yield Static(Content(visible(self._region).upper()), classes="title")
            yield Static(id="side")
            yield Static(
                Content(
                    "\n  i  inspected (looked at)\n  p  palpated (felt)"
                    "\n  n  within normal limits\n  x  not examined, with the reason\n"
                )
            )
            yield Static(
                Content("press the key or say the words   escape or “close” leaves it"),
                classes="hint",
            )

    def show_record(self) -> None:
        paired = self._paired()
        text = (
            f"Side: {self._side or 'both'}   (tab, “left”, “right” or “both sides”)"
            if paired
            else ""
        )
        self.query_one("#side", Static).update(Content(text))

    def action_side(self) -> None:
        if self._paired():
            self._side = _SIDES[(_SIDES.index(self._side) + 1) % len(_SIDES)]
            self.show_record()

    def action_mark(self, key: str) -> None:
        state = _STATES[key]
        if state == "not_examined":
            self._ask_reason()
        else:
            self._mark(state)

    def _ask_reason(self) -> None:
        dialog = ReasonDialog(self._region)

        def left_out(reason: str | None) -> None:
            if reason is not None:
                self._mark("not_examined", reason or None, dialog.actor)

        self.app.push_screen(dialog, left_out)

    def _mark(self, state: RegionState, reason: str | None = None, actor: str = KEYBOARD) -> None:
        command = MarkRegion(region=self._region, state=state, side=self._side, reason=reason)
        if self.desk.do(command, actor) is not None:
            self.dismiss(None)

    def meaning(self, said: Said) -> Callable[[], object] | None:
        done = said.term(Slot.EXAMINED, Slot.NORMAL, Slot.NOT_EXAMINED, Slot.SIDE)
        if done is None:
            return None
        value = str(done.value)
        match done.slot:
            case Slot.SIDE if value in _SPOKEN_SIDES and self._paired():
                return lambda: self._take_side(_SPOKEN_SIDES[value])
            case Slot.SIDE:
                return None
            case Slot.NOT_EXAMINED if value == _NO_REASON:
                return self._ask_reason
            case Slot.NOT_EXAMINED:
                return lambda: self._mark("not_examined", value, VOICE)
            case Slot.NORMAL:
                return lambda: self._mark("normal", actor=VOICE)
        state: RegionState = "inspected" if value == "inspected" else "palpated"
        return lambda: self._mark(state, actor=VOICE)

    def _take_side(self, side: str | None) -> None:
        self._side = side
        self.show_record()

    def _paired(self) -> bool:
        station = self.desk.session.protocol.station(self._region)
        return station is not None and station.paired


class ReasonDialog(Dialog[str]):
    """Why regions were not examined; an empty reason is allowed, escape goes back.

    The next free words are the reason: shown, and taken by a yes. Those that are not taken in
    the end are put aside, since they may have been meant for the record.
    """

    speech: ClassVar[Speech] = Speech.WAITS
    why_waits = "a reason is asked for: say it, or close"

    def __init__(self, *regions: str) -> None:
        super().__init__()
        self._regions = regions
        self._words: Utterance | None = None
        self.actor = KEYBOARD
        """Who gave the answer."""

    def compose(self) -> ComposeResult:
        many = len(self._regions) > 1
        with Vertical(classes="box"):
            yield Static(Content("Not examined, and why"), classes="title")
            yield Static(Content(visible(", ".join(self._regions))))
            if many:
                yield Static(Content.styled("All of these at once.", "$warning"))
            yield Input(placeholder="cannot open wide enough", max_length=200)
            yield Static(
                Content("say or type it   enter or “yes” takes it   escape or “no” goes back"),
                classes="hint",
            )

    def on_input_submitted(self, event: Input.Submitted) -> None:
        self.dismiss(event.value.strip())

    def action_close(self) -> None:
        self._put_aside()
        self.dismiss(None)

    def meaning(self, said: Said) -> Callable[[], object] | None:
        if said.value == "confirm":
            return self._confirm
        if said.value in ("reject", "close"):
            return self.action_close
        return (lambda: self._hear(said)) if said.value is None else None

    def _hear(self, said: Said) -> None:
        """Terms of the vocabulary as they are, other words as they were heard without it."""
        self._put_aside()
        self._words = said.utterance
        known = said.term(Slot.NOT_EXAMINED)
        free = said.utterance.free_text or said.utterance.text
        self.query_one(Input).value = " ".join(said.words) if known else free

    def _confirm(self) -> None:
        self.actor = VOICE
        self.dismiss(self.query_one(Input).value.strip())

    def _put_aside(self) -> None:
        if self._words is not None:
            self.desk.hold(self._words, "it was heard as a reason, and not taken")
            self._words = None
