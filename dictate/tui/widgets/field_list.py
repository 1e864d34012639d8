"""Every field of one finding: value, doubt and what else the engine may have heard."""

from __future__ import annotations

from textual import events
from textual.content import Content
from textual.widgets import OptionList
from textual.widgets.option_list import Option

from dictate.exam.finding import Finding, FindingFields
from dictate.tui.cells import said
from dictate.tui.columns import GAP, lay_out
from dictate.tui.plain import visible
from dictate.tui.values import show
from dictate.tui.wording import CHECK, LABELS

_LABEL = 14


class FieldList(OptionList):
    """Choosing a field asks for its value. Option ids are field names."""

    DEFAULT_CSS = """
    FieldList { border: none; padding: 0 1; background: $surface; height: 1fr; }
    FieldList:focus { border: none; background-tint: $foreground 0%; }
    """

    def __init__(self) -> None:
        super().__init__()
        self._fields: FindingFields | None = None

    def on_resize(self, event: events.Resize) -> None:
        self.show_fields(self._fields)

    def show_fields(self, fields: FindingFields | None) -> None:
        """Show a finding, a draft of one, or nothing."""
        self._fields = fields
        chosen = self.highlighted_option
        name = chosen.id if chosen is not None else None
        if fields is None:
            empty = Content.styled("Choose a finding to see its fields.", "$muted")
            self.set_options([Option(empty, disabled=True)])
            return
        width = max(30, self.size.width - 4)  # padding and scroll bar
        self.set_options(Option(_row(fields, each, width), id=each) for each in LABELS)
        names = list(LABELS)
        self.highlighted = names.index(name) if name in names else self._first(fields)

    def chosen(self) -> str | None:
        """Name of the field under the cursor."""
        option = self.highlighted_option
        return option.id if option is not None else None

    def _first(self, fields: FindingFields) -> int:
        doubted = fields.doubted() if isinstance(fields, Finding) else frozenset[str]()
        return next((i for i, name in enumerate(LABELS) if name in doubted), 0)


def _row(fields: FindingFields, name: str, width: int) -> Content:
    value = getattr(fields, name)
    whys = _whys(fields, name)
    style = f"bold {CHECK.style}" if whys else "bold" if said(fields, name) else "$muted"
    text = show(name, value)
    text = text.upper() if name == "side" else text
    cells = (
        Content.styled(CHECK.symbol if whys else "", f"bold {CHECK.style}"),
        Content.styled(LABELS[name], "$secondary"),
        Content.styled(text if said(fields, name) else "·", style),
    )
    lines = [lay_out(cells, (1, _LABEL, width - _LABEL - 1 - 2 * GAP))]
    notes = [Content.styled(f"check: {visible(why)}", CHECK.style) for why in whys]
    others = _others(fields, name)
    if others:
        notes.append(Content.styled(f"or: {others}", "$accent"))
    lines += [lay_out((Content(""), note), (1, width - 1 - GAP)) for note in notes]
    return Content("\n").join(lines)


def _whys(fields: FindingFields, name: str) -> list[str]:
    if not isinstance(fields, Finding):
        return []
    return [doubt.why for doubt in fields.needs_review if doubt.field == name]


def _others(fields: FindingFields, name: str) -> str:
    if not isinstance(fields, Finding):
        return ""
    return "; ".join(show(name, each.value) for each in fields.alternatives if each.field == name)
