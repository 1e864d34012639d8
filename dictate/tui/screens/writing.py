"""Writing the value of a field that is no word of the vocabulary: size, duration, number, note."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.content import Content
from textual.widgets import Input, OptionList, Static
from textual.widgets.option_list import Option

from dictate.exam.finding import FieldValue, FindingFields
from dictate.tui.choices import empty, shape
from dictate.tui.screens.base import Dialog
from dictate.tui.screens.chosen import Chosen, doubt_lines, special_choices, title_line
from dictate.tui.spoken import Said, spoken_value
from dictate.tui.values import UnreadableError, read_count, read_days, read_size, show

_LONGEST_NOTE = 500
_EXAMPLES = {
    "size": "10 x 6, 4 mm, 1.5 cm; the order is kept",
    "days": "10 days, 3 weeks, 2 months",
    "count": "a whole number",
    "text": "free words",
}


def read(field: str, text: str) -> FieldValue:
    """The value that was written; nothing written is "not said". Raises UnreadableError."""
    text = text.strip()
    if not text:
        return empty(field)
    match shape(field):
        case "size":
            return list(read_size(text))
        case "days":
            return read_days(text)
        case "count":
            return read_count(text)
        case _:
            return text


class WritingDialog(Dialog[Chosen]):
    """The value as understood is shown while it is written; what is said is taken by a yes."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("down", "move(1)", "Next", priority=True, show=False),
        Binding("up", "move(-1)", "Previous", priority=True, show=False),
    ]
    DEFAULT_CSS = """
    WritingDialog OptionList { height: auto; max-height: 8; }
    WritingDialog #understood { height: auto; padding: 0 1; }
    """

    def __init__(self, field: str, finding: FindingFields) -> None:
        super().__init__()
        self._field, self._finding = field, finding
        self._special = special_choices(field, finding)

    def compose(self) -> ComposeResult:
        with Vertical(classes="box"):
            yield Static(title_line(self._field, self._finding), classes="title")
            yield Static(doubt_lines(self._field, self._finding), id="doubts")
            example = _EXAMPLES[shape(self._field)]
            yield Input(placeholder=example, max_length=_LONGEST_NOTE, value=self._written())
            yield Static(id="understood")
            yield OptionList(*(_option(*each, self._field) for each in enumerate(self._special, 1)))
            yield Static(
                Content(
                    "enter or “yes” takes it   down or “option one”: of the list   "
                    "escape or “close” leaves it"
                ),
                classes="hint",
            )

    def on_mount(self) -> None:
        self._said = False
        self.query_one(OptionList).highlighted = None
        self.query_one(Input).focus()

    @on(Input.Changed)
    def _understand(self, event: Input.Changed) -> None:
        self.query_one(OptionList).highlighted = None
        self.query_one("#understood", Static).update(self._understood(event.value))

    @on(Input.Submitted)
    def _enter(self, event: Input.Submitted) -> None:
        at = self.query_one(OptionList).highlighted
        if at is not None:
            self.dismiss(self._special[at])
            return
        try:
            self.dismiss(Chosen(read(self._field, event.value)))
        except UnreadableError:
            self.app.bell()

    @on(OptionList.OptionSelected)
    def _clicked(self, event: OptionList.OptionSelected) -> None:
        self.dismiss(self._special[event.option_index])

    def action_move(self, by: int) -> None:
        options = self.query_one(OptionList)
        if options.option_count:
            at = -1 if options.highlighted is None else options.highlighted
            options.highlighted = min(max(0, at + by), options.option_count - 1)

    def _understood(self, text: str) -> Content:
        try:
            value = read(self._field, text)
            days = f" = {value} days" if shape(self._field) == "days" and value else ""
            return Content.styled(f"= {show(self._field, value)}{days}", "bold")
        except UnreadableError as error:
            return Content.styled(f"✕ {error}", "bold $error")

    # By voice

    def meaning(self, said: Said) -> Callable[[], object] | None:
        if said.value == "confirm":
            return self._confirm
        if said.value in ("reject", "close"):
            return self.action_close
        if said.number is not None:
            return lambda: self._point((said.number or 0) - 1)
        if said.value is not None:
            return None
        text = self._heard(said)
        return (lambda: self._write(text)) if text else None

    def _heard(self, said: Said) -> str:
        """The words as they would be written; "" when they are no value of the field."""
        if shape(self._field) == "text":
            return said.utterance.free_text or said.utterance.text
        value = spoken_value(self.desk, self._field, said)
        if isinstance(value, list):
            return " x ".join(f"{float(each):g}" for each in value)
        return "" if value is None else f"{value}"

    def _write(self, text: str) -> None:
        self._said = True
        self.query_one(OptionList).highlighted = None
        self.query_one(Input).value = text

    def _point(self, place: int) -> None:
        if 0 <= place < len(self._special):
            self._said = True
            self.query_one(OptionList).highlighted = place
        else:
            self.desk.tell(f"There is no row {place + 1} here.", warning=True)

    def _confirm(self) -> None:
        at = self.query_one(OptionList).highlighted
        if not self._said:
            self.desk.tell("Say the value first.", warning=True)
        elif at is not None:
            self.dismiss(replace(self._special[at], spoken=True))
        else:
            value = read(self._field, self.query_one(Input).value)
            self.dismiss(Chosen(value, spoken=True))

    def _written(self) -> str:
        """A note is edited; a figure is written anew, so that no digit of the old one stays."""
        if shape(self._field) != "text":
            return ""
        return getattr(self._finding, self._field) or ""


def _option(number: int, each: Chosen, field: str) -> Option:
    return Option(Content.assemble((f"{number:>2}  ", "$muted"), each.row(field)))


def is_written(field: str) -> bool:
    """True if the field is written, not chosen."""
    return shape(field) in _EXAMPLES
