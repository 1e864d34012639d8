"""Choosing the value of a field among the words of the vocabulary."""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.content import Content
from textual.widgets import Input, OptionList, Static
from textual.widgets.option_list import Option

from dictate.exam.finding import FindingFields
from dictate.tui.choices import Choice, choices, matching, shape
from dictate.tui.screens.base import Dialog
from dictate.tui.screens.chosen import Chosen, doubt_lines, special_choices, title_line
from dictate.tui.spoken import Said, spoken_value
from dictate.tui.values import show
from dictate.vocabulary.schema import Lexicon


class ChoosingDialog(Dialog[Chosen]):
    """Type to narrow the list, enter to choose. A field of several values is ticked by enter
    and closed by ctrl+s. A value or its number that is said is pointed at, and a yes takes it."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("down", "move(1)", "Next", priority=True, show=False),
        Binding("up", "move(-1)", "Previous", priority=True, show=False),
        Binding("pagedown", "move(8)", "Further", priority=True, show=False),
        Binding("pageup", "move(-8)", "Back", priority=True, show=False),
        Binding("ctrl+s", "take", "Take", priority=True),
    ]
    DEFAULT_CSS = """
    ChoosingDialog OptionList { height: auto; max-height: 12; }
    """

    def __init__(self, field: str, finding: FindingFields, lexicon: Lexicon) -> None:
        super().__init__()
        self._field, self._finding = field, finding
        self._all = choices(field, finding, lexicon)
        self._many = shape(field) == "many"
        value = getattr(finding, field)
        self._ticked: list[str] = list(value) if self._many else []
        self._offered: list[Chosen | Choice] = []
        self._pointed = False
        """True once a value was said: a yes takes nothing that nobody chose."""

    def compose(self) -> ComposeResult:
        with Vertical(classes="box"):
            yield Static(title_line(self._field, self._finding), classes="title")
            yield Static(doubt_lines(self._field, self._finding), id="doubts")
            yield Input(placeholder="type to narrow the list", id="narrow")
            yield OptionList(id="values")
            hint = "enter ticks   ctrl+s takes the ticked" if self._many else "enter chooses"
            said = "or say the value or its number, then “yes”; “close” leaves it"
            yield Static(Content(f"{hint}   escape leaves it\n{said}"), classes="hint")

    def on_mount(self) -> None:
        self._offer("")
        self.query_one(Input).focus()

    @on(Input.Changed)
    def _narrow(self, event: Input.Changed) -> None:
        self._offer(event.value)

    @on(Input.Submitted)
    def _enter(self) -> None:
        index = self.query_one(OptionList).highlighted
        if index is not None and index < len(self._offered):
            self._choose(self._offered[index])

    @on(OptionList.OptionSelected)
    def _clicked(self, event: OptionList.OptionSelected) -> None:
        self._choose(self._offered[event.option_index])

    def action_move(self, by: int) -> None:
        values = self.query_one(OptionList)
        if values.option_count:
            at = (values.highlighted or 0) + by
            values.highlighted = min(max(0, at), values.option_count - 1)

    def action_take(self) -> None:
        if self._many:
            self.dismiss(Chosen(list(self._ticked)))
        else:
            self._enter()

    def _choose(self, chosen: Chosen | Choice) -> None:
        if isinstance(chosen, Chosen):
            self.dismiss(chosen)
        elif not self._many:
            self.dismiss(Chosen(chosen.value))
        else:
            self._tick(str(chosen.value))

    def _tick(self, value: str) -> None:
        if value in self._ticked:
            self._ticked.remove(value)
        else:
            self._ticked.append(value)
        self._offer(self.query_one(Input).value)

    def _offer(self, typed: str) -> None:
        values = self.query_one(OptionList)
        at = values.highlighted or 0
        special = () if typed.strip() else special_choices(self._field, self._finding)
        self._offered = [*special, *matching(self._all, typed)]
        values.set_options(
            Option(self._row(number, each)) for number, each in enumerate(self._offered, 1)
        )
        if self._offered:
            values.highlighted = min(at, len(self._offered) - 1) if self._many else 0
        else:
            values.set_options([Option(Content("nothing by that name"), disabled=True)])

    def _row(self, number: int, each: Chosen | Choice) -> Content:
        label = (f"{number:>3}  ", "$muted")
        if isinstance(each, Chosen):
            return Content.assemble(label, each.row(self._field))
        shown = show(self._field, each.value)
        if not self._many:
            return Content.assemble(label, shown)
        box = "[x]" if each.value in self._ticked else "[ ]"
        return Content.assemble(label, (f"{box} ", "bold $primary"), shown)

    # By voice

    def meaning(self, said: Said) -> Callable[[], object] | None:
        if said.value == "confirm":
            return self._confirm
        if said.value in ("reject", "close"):
            return self.action_close
        if said.value == "keep" and isinstance(self._offered[0], Chosen) and self._offered[0].keep:
            return lambda: self._point(0)
        if said.value in ("row_down", "row_up"):
            return lambda: self.action_move(1 if said.value == "row_down" else -1)
        if said.number is not None:
            return lambda: self._point((said.number or 0) - 1)
        places = self._named(said)
        return (lambda: self._point_all(places)) if places else None

    def _named(self, said: Said) -> list[int]:
        """Where the values that the words are stand in the list."""
        known = {term.value for term in said.terms}
        change = spoken_value(self.desk, self._field, said)
        if change is not None:
            known |= set(change) if isinstance(change, list) else {change}
        return [
            place
            for place, each in enumerate(self._offered)
            if isinstance(each, Choice) and each.value in known
        ]

    def _point_all(self, places: list[int]) -> None:
        for place in places:
            self._point(place)

    def _point(self, place: int) -> None:
        if not 0 <= place < len(self._offered):
            self.desk.tell(f"There is no row {place + 1} here.", warning=True)
            return
        self._pointed = True
        self.query_one(OptionList).highlighted = place
        each = self._offered[place]
        if self._many and isinstance(each, Choice):
            self._tick(str(each.value))

    def _confirm(self) -> None:
        at = self.query_one(OptionList).highlighted
        if not self._pointed or at is None:
            self.desk.tell("Say a value or its number first.", warning=True)
        elif self._many and isinstance(self._offered[at], Choice):
            self.dismiss(Chosen(list(self._ticked), spoken=True))
        else:
            each = self._offered[at]
            keep = isinstance(each, Chosen) and each.keep
            self.dismiss(Chosen(each.value, keep, spoken=True))
