"""A numbered list whose rows wrap: opened by key, and by voice with the row's number."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from textual import events
from textual.app import ComposeResult
from textual.containers import Vertical
from textual.content import Content
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from dictate.tui.columns import GAP, lay_out

_NUMBER = 2
"""Cells of the number of a row."""
_ROOMY = 110
"""Cells from which the wider columns are used."""


@dataclass(frozen=True, slots=True)
class Row:
    """One row. Without an id it is a heading over those that follow, and cannot be chosen."""

    id: str | None
    cells: tuple[Content, ...]


def heading(text: str) -> Row:
    """A line over the rows of a group."""
    return Row(None, (Content.styled(text, "bold $secondary"),))


@dataclass(frozen=True, slots=True)
class Columns:
    """Titles, and the cells of every column but the last, which takes what is left."""

    titles: tuple[str, ...]
    narrow: tuple[int, ...]
    wide: tuple[int, ...]


class RowList(Vertical):
    """The cursor stays on its row when the rows are read anew."""

    DEFAULT_CSS = """
    RowList { height: 1fr; }
    RowList .titles { height: 1; color: $secondary; text-style: bold; }
    RowList OptionList { height: 1fr; }
    """

    def __init__(self, columns: Columns, empty: str) -> None:
        """`empty` stands there when there are no rows."""
        super().__init__()
        self._columns, self._empty = columns, empty
        self._rows: tuple[Row, ...] = ()
        self._titles = Static(classes="titles")
        self.options = OptionList()

    def compose(self) -> ComposeResult:
        yield self._titles
        yield self.options

    def show(self, rows: Sequence[Row]) -> None:
        """Show these rows."""
        chosen = self.chosen()
        self._rows = tuple(rows)
        self._draw(chosen)

    def chosen(self) -> str | None:
        """Id of the row under the cursor."""
        option = self.options.highlighted_option
        return option.id if option is not None else None

    def numbered(self, number: int) -> str | None:
        """Id of the row with that number, and the cursor on it; None when there is none."""
        names = self._names()
        if not 1 <= number <= len(names):
            return None
        self._point(names[number - 1])
        return names[number - 1]

    def move(self, by: int) -> None:
        """Move the cursor over so many rows, headings not counted."""
        names, chosen = self._names(), self.chosen()
        if names:
            at = names.index(chosen) + by if chosen in names else 0
            self._point(names[min(max(0, at), len(names) - 1)])

    def on_resize(self, event: events.Resize) -> None:
        self._draw(self.chosen())

    def _names(self) -> list[str]:
        return [each.id for each in self._rows if each.id is not None]

    def _point(self, name: str) -> None:
        self.options.highlighted = self.options.get_option_index(name)

    def _draw(self, chosen: str | None) -> None:
        widths = self._widths()
        titles = [Content(title) for title in ("", *self._columns.titles)]
        self._titles.update(lay_out(titles, widths))
        if not self._rows:
            empty = Content.styled(self._empty, "$muted")
            self.options.set_options([Option(empty, disabled=True)])
            return
        names = self._names()
        self.options.set_options(self._option(each, names, widths) for each in self._rows)
        if names:
            self._point(chosen if chosen in names else names[0])
            if chosen not in names:
                self.options.scroll_home(animate=False)

    def _option(self, row: Row, names: Sequence[str], widths: Sequence[int]) -> Option:
        if row.id is None:
            return Option(row.cells[0], disabled=True)
        number = Content.styled(f"{names.index(row.id) + 1:>{_NUMBER}}", "$muted")
        return Option(lay_out((number, *row.cells), widths), id=row.id)

    def _widths(self) -> tuple[int, ...]:
        room = max(60, self.size.width) - 2  # scroll bar
        fixed = self._columns.wide if room >= _ROOMY else self._columns.narrow
        rest = room - _NUMBER - sum(fixed) - GAP * (len(fixed) + 1)
        return (_NUMBER, *fixed, max(10, rest))
