"""The top line: is the program listening, and how far is the record."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.containers import Horizontal
from textual.content import Content
from textual.widgets import Static

from dictate.tui.desk import Desk
from dictate.tui.plain import visible
from dictate.tui.widgets.level_meter import LevelMeter
from dictate.tui.wording import CHECK, LISTENING_MARKS, counted

_PATIENT = 16
"""Most characters shown of the patient's identifier."""


class StatusBar(Horizontal):
    """Listening state and level on the left; state of the record on the right."""

    DEFAULT_CSS = """
    StatusBar { height: 1; background: $panel; padding: 0 1; }
    StatusBar #hearing { width: auto; }
    StatusBar LevelMeter { margin: 0 2; }
    StatusBar #record { width: 1fr; text-align: right; }
    """

    def compose(self) -> ComposeResult:
        yield Static(id="hearing")
        yield LevelMeter()
        yield Static(id="record")

    def show_hearing(self, state: str) -> None:
        """`state` is a key of LISTENING_MARKS."""
        mark = LISTENING_MARKS[state]
        text = Content.styled(f" {mark.symbol} {mark.word} ", f"bold reverse {mark.style}")
        self.query_one("#hearing", Static).update(text)
        meter = self.query_one(LevelMeter)
        meter.display = state in ("listening", "paused")
        if not meter.display:
            meter.rest()

    def show_record(self, desk: Desk) -> None:
        self.query_one("#record", Static).update(_record(desk))


def _record(desk: Desk) -> Content:
    session = desk.session
    doubts = sum(len(each.needs_review) for each in session.findings)
    aside = len(session.set_aside)
    parts: list[tuple[str, str]] = []
    if session.patient:
        parts.append((f"{visible(session.patient, _PATIENT)}   ", "bold $primary"))
    parts.append((counted(len(session.findings), "finding"), "bold"))
    if doubts:
        parts.append((f"  {CHECK.symbol} {doubts} to check", f"bold {CHECK.style}"))
    if aside:
        parts.append((f"  – {aside} aside", "$muted"))
    if session.is_final:
        parts.append((f"  ■ FINAL, {visible(session.examiner or '', 24)}", "bold $success"))
    else:
        parts.append(("  □ draft", "$secondary"))
    return Content.assemble(*parts)
