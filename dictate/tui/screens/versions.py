"""The amendments of a record: who, when, what and why."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar

from textual.app import ComposeResult
from textual.content import Content
from textual.widgets import Static

from dictate.exam.events import Amended, Event, Signed
from dictate.exam.session import Session
from dictate.export.chart import changes_words
from dictate.tui.plain import visible
from dictate.tui.screens.records import RecordsScreen
from dictate.tui.widgets.key_line import Hint
from dictate.tui.widgets.row_list import Columns, Row, RowList

_COLUMNS = Columns(("Version", "When", "Who", "What, and why"), (7, 10, 14), (9, 18, 26))


class VersionsScreen(RecordsScreen[int]):
    """Result: the version to be read, or None."""

    keys: ClassVar[tuple[Hint, ...]] = (("enter", "Read the record as it was then"),)

    def __init__(self, session: str) -> None:
        super().__init__()
        self._of = session

    def compose(self) -> ComposeResult:
        about = Static(classes="about", id="about")
        yield self.frame("Amendments", about, RowList(_COLUMNS, "The record was never amended."))

    def load(self) -> None:
        session = self.read(lambda clinic: clinic.record(self._of))
        if session is not None:
            whose = f"patient {session.patient}" if session.patient else "no patient"
            self.retitle(f"Amendments: visit of {session.examined_on}, {whose}")
            self.query_one(RowList).show(list(_rows(session)))

    def open_chosen(self, name: str | None) -> None:
        if name is not None:
            self.dismiss(int(name))


def _rows(session: Session) -> Iterator[Row]:
    """The signature and every amendment, the latest first."""
    for event in reversed(session.events):
        if isinstance(event.body, Amended):
            what = "\n".join(visible(each) for each in changes_words(event.body, session.called))
            words = Content.assemble(what, "\n", ("because: ", "$muted"), visible(event.body.why))
            yield _row(event, event.body.version, event.body.examiner, words)
        elif isinstance(event.body, Signed):
            yield _row(event, 1, event.body.examiner, Content("signed"))


def _row(event: Event, version: int, who: str, what: Content) -> Row:
    when = event.at.astimezone().strftime("%Y-%m-%d %H:%M")
    cells = (
        Content.styled(str(version), "bold $primary"),
        Content(when),
        Content(visible(who)),
        what,
    )
    return Row(str(version), cells)
