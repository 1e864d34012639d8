"""Every record that is kept, the latest first: those of no named patient are found here too."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import ClassVar

from textual.app import ComposeResult
from textual.content import Content
from textual.widgets import Static

from dictate.store.entry import Entry
from dictate.tui.plain import visible
from dictate.tui.screens.record import RecordScreen
from dictate.tui.screens.records import RecordsScreen
from dictate.tui.widgets.key_line import Hint
from dictate.tui.widgets.row_list import Columns, Row, RowList
from dictate.tui.wording import counted

_COLUMNS = Columns(("Begun", "Patient", "State", "Signed by"), (16, 16, 16), (18, 36, 26))


class KeptScreen(RecordsScreen[None]):
    """Enter opens a record to read."""

    keys: ClassVar[tuple[Hint, ...]] = (("enter", "Open"),)

    def compose(self) -> ComposeResult:
        about = Static(classes="about", id="about")
        yield self.frame("Kept records", about, RowList(_COLUMNS, "No record is kept yet."))

    def load(self) -> None:
        entries = self.read(lambda clinic: clinic.every_session()) or ()
        drafts = sum(each.state == "draft" for each in entries)
        told = f"{counted(len(entries), 'record')}, {counted(drafts, 'draft')} among them"
        self.query_one("#about", Static).update(Content(told))
        self.query_one(RowList).show(list(_rows(entries)))

    def open_chosen(self, name: str | None) -> None:
        if name is not None:
            self.app.push_screen(RecordScreen(name))


def _rows(entries: Iterable[Entry]) -> Iterator[Row]:
    for each in entries:
        begun = each.created.astimezone().strftime("%Y-%m-%d %H:%M")
        final = Content.styled("final", "$success")
        if each.version > 1:
            final = Content.assemble(final, f", version {each.version}")
        state = final if each.state == "final" else Content.styled("draft", "$warning")
        patient = Content(visible(each.patient)) if each.patient else Content.styled("–", "$muted")
        yield Row(each.id, (Content(begun), patient, state, Content(visible(each.examiner or ""))))
