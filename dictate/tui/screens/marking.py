"""Saying by keyboard what was done at a region."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.content import Content
from textual.widgets import Input, Static

from dictate.exam.commands import MarkRegion, RegionState
from dictate.tui.plain import visible
from dictate.tui.screens.base import Dialog

_SIDES = (None, "right", "left")
_STATES: dict[str, RegionState] = {
    "i": "inspected",
    "p": "palpated",
    "n": "normal",
    "x": "not_examined",
}


class MarkingDialog(Dialog[None]):
    """One key marks the region; tab changes the side before that."""

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
                    "\n  i  looked at (inspected)\n  p  felt (palpated)"
                    "\n  n  within normal limits\n  x  not examined, with the reason\n"
                )
            )
            yield Static(Content("escape leaves it"), classes="hint")

    def show_record(self) -> None:
        paired = self._paired()
        text = f"Side: {self._side or 'both'}   (tab changes it)" if paired else ""
        self.query_one("#side", Static).update(Content(text))

    def action_side(self) -> None:
        if self._paired():
            self._side = _SIDES[(_SIDES.index(self._side) + 1) % len(_SIDES)]
            self.show_record()

    def action_mark(self, key: str) -> None:
        state = _STATES[key]
        if state == "not_examined":
            self.app.push_screen(ReasonDialog(self._region), self._left_out)
        else:
            self._mark(state, None)

    def _left_out(self, reason: str | None) -> None:
        if reason is not None:
            self._mark("not_examined", reason or None)

    def _mark(self, state: RegionState, reason: str | None) -> None:
        command = MarkRegion(region=self._region, state=state, side=self._side, reason=reason)
        if self.desk.do(command) is not None:
            self.dismiss(None)

    def _paired(self) -> bool:
        station = self.desk.session.protocol.station(self._region)
        return station is not None and station.paired


class ReasonDialog(Dialog[str]):
    """Why regions were not examined; an empty reason is allowed, escape goes back."""

    def __init__(self, *regions: str) -> None:
        super().__init__()
        self._regions = regions

    def compose(self) -> ComposeResult:
        many = len(self._regions) > 1
        with Vertical(classes="box"):
            yield Static(Content("Not examined, and why"), classes="title")
            yield Static(Content(visible(", ".join(self._regions))))
            if many:
                yield Static(Content.styled("All of these at once.", "$warning"))
            yield Input(placeholder="cannot open wide enough", max_length=200)
            yield Static(Content("enter takes it   escape goes back"), classes="hint")

    def on_input_submitted(self, event: Input.Submitted) -> None:
        self.dismiss(event.value.strip())
