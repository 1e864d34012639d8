"""The findings so far: side, site and size in columns of their own, whole at 80 columns."""

from __future__ import annotations

from textual import events
from textual.app import ComposeResult
from textual.containers import Vertical
from textual.content import Content
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from dictate.exam.finding import Finding
from dictate.tui.cells import critical, description, site
from dictate.tui.columns import GAP, lay_out
from dictate.tui.desk import Desk
from dictate.tui.wording import CHECK

_TITLES = ("", "Side", "Site", "Size", "Finding")
_NARROW = (4, 11, 18, 16)
_WIDE = (4, 11, 24, 18)
_ROOMY = 92
"""Cells from which the wider columns are used."""


class FindingsTable(Vertical):
    """A table whose rows wrap. The cursor stays on its finding when others arrive.

    Until the cursor is moved it follows the newest finding; moving it to the last row makes
    it follow again.
    """

    DEFAULT_CSS = """
    FindingsTable { height: 1fr; background: $background; }
    FindingsTable #titles { height: 1; padding: 0 1; color: $secondary; text-style: bold; }
    FindingsTable OptionList { height: 1fr; border: none; padding: 0 1; background: $background; }
    FindingsTable OptionList:focus { border: none; background-tint: $foreground 0%; }
    """

    def __init__(self) -> None:
        super().__init__()
        self._findings: tuple[Finding, ...] = ()

    def compose(self) -> ComposeResult:
        yield Static(id="titles")
        yield OptionList(id="rows")

    @property
    def rows(self) -> OptionList:
        return self.query_one("#rows", OptionList)

    def show_record(self, desk: Desk) -> None:
        following, chosen = self._following(), self.chosen()
        self._findings = desk.session.findings
        self._draw()
        self._point(None if following else chosen)

    def chosen(self) -> str | None:
        """Id of the finding under the cursor."""
        option = self.rows.highlighted_option
        return option.id if option is not None else None

    def follow(self) -> None:
        """Put the cursor on the newest finding."""
        self._point(None)

    def on_resize(self, event: events.Resize) -> None:
        chosen = self.chosen()
        self._draw()
        self._point(chosen)

    def _following(self) -> bool:
        rows = self.rows
        return rows.highlighted is None or rows.highlighted == rows.option_count - 1

    def _point(self, chosen: str | None) -> None:
        ids = [each.id for each in self._findings]
        if ids:
            self.rows.highlighted = ids.index(chosen) if chosen in ids else len(ids) - 1

    def _draw(self) -> None:
        widths = self.widths()
        titles = [Content(title) for title in _TITLES]
        self.query_one("#titles", Static).update(lay_out(titles, widths))
        if self._findings:
            rows = [Option(_row(each, widths), id=each.id) for each in self._findings]
        else:
            rows = [Option(Content.styled("No findings yet.", "$muted"), disabled=True)]
        self.rows.set_options(rows)

    def widths(self) -> tuple[int, ...]:
        """Cells of each column, for the room there is now."""
        room = max(78, self.size.width) - 4  # padding and scroll bar
        fixed = _WIDE if room >= _ROOMY else _NARROW
        return (*fixed, max(16, room - sum(fixed) - GAP * len(fixed)))


def _row(finding: Finding, widths: tuple[int, ...]) -> Content:
    doubts = len(finding.needs_review)
    name = Content.styled(finding.id, "bold $primary")
    if doubts:
        name = Content("\n").join(
            [name, Content.styled(f"{CHECK.symbol} {doubts}", "bold $warning")]
        )
    cells = (
        name,
        critical(finding, "side"),
        site(finding),
        critical(finding, "size_mm"),
        description(finding),
    )
    return lay_out(cells, widths)
