"""Every field of one finding: value, doubt and what else the engine may have heard."""

from __future__ import annotations

from textual.content import Content
from textual.widgets import OptionList
from textual.widgets.option_list import Option

from dictate.exam.finding import Finding, FindingFields
from dictate.tui.cells import said
from dictate.tui.plain import visible
from dictate.tui.values import show
from dictate.tui.wording import CHECK, LABELS

_LABEL = 18


class FieldList(OptionList):
    """Choosing a field asks for its value. Option ids are field names."""

    DEFAULT_CSS = """
    FieldList { border: none; padding: 0 1; background: $surface; height: 1fr; }
    FieldList:focus { border: none; background-tint: $foreground 0%; }
    """

    def show_fields(self, fields: FindingFields | None) -> None:
        """Show a finding, a draft of one, or nothing."""
        chosen = self.highlighted_option
        name = chosen.id if chosen is not None else None
        if fields is None:
            empty = Content.styled("Choose a finding to see its fields.", "$muted")
            self.set_options([Option(empty, disabled=True)])
            return
        self.set_options(Option(_row(fields, each), id=each) for each in LABELS)
        names = list(LABELS)
        self.highlighted = names.index(name) if name in names else self._first(fields)

    def chosen(self) -> str | None:
        """Name of the field under the cursor."""
        option = self.highlighted_option
        return option.id if option is not None else None

    def _first(self, fields: FindingFields) -> int:
        doubted = fields.doubted() if isinstance(fields, Finding) else frozenset[str]()
        return next((i for i, name in enumerate(LABELS) if name in doubted), 0)


def _row(fields: FindingFields, name: str) -> Content:
    value = getattr(fields, name)
    whys = _whys(fields, name)
    style = f"bold {CHECK.style}" if whys else "bold" if said(fields, name) else "$muted"
    mark = CHECK.symbol if whys else " "
    shown = show(name, value).upper() if name == "side" and value else show(name, value)
    lines = [
        Content.assemble(
            (f"{mark} ", f"bold {CHECK.style}"),
            (LABELS[name].ljust(_LABEL - 2), "$secondary"),
            (shown if said(fields, name) else "·", style),
        )
    ]
    lines += [Content.styled(f"    check: {visible(why)}", CHECK.style) for why in whys]
    others = _others(fields, name)
    if others:
        lines.append(Content.styled(f"    or: {others}", "$accent"))
    return Content("\n").join(lines)


def _whys(fields: FindingFields, name: str) -> list[str]:
    if not isinstance(fields, Finding):
        return []
    return [doubt.why for doubt in fields.needs_review if doubt.field == name]


def _others(fields: FindingFields, name: str) -> str:
    if not isinstance(fields, Finding):
        return ""
    return "; ".join(show(name, each.value) for each in fields.alternatives if each.field == name)
