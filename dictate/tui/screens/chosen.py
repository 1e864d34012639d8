"""What a dialog about one field shows of it, and what it answers."""

from __future__ import annotations

from dataclasses import dataclass

from textual.content import Content

from dictate.exam.editing import plain
from dictate.exam.events import KEYBOARD, VOICE
from dictate.exam.finding import FieldValue, Finding, FindingFields
from dictate.tui.choices import empty
from dictate.tui.plain import visible
from dictate.tui.values import show
from dictate.tui.wording import LABELS


@dataclass(frozen=True, slots=True)
class Chosen:
    """The new value of a field; `keep` when the doubted value was right as it stood."""

    value: FieldValue
    keep: bool = False
    spoken: bool = False
    """True if it was chosen by voice."""

    @property
    def actor(self) -> str:
        """Who chose."""
        return VOICE if self.spoken else KEYBOARD

    def row(self, field: str) -> Content:
        """The answer as a line of a list, when it is no plain word of the vocabulary."""
        shown = show(field, self.value)
        if self.keep:
            return Content.assemble(("✓ keep ", "bold $success"), (shown, "bold"))
        if self.value in (None, []):
            return Content.styled(f"∅ {shown}", "$muted")
        return Content.assemble(("≈ also heard as ", "$accent"), (shown, "bold"))


def special_choices(field: str, finding: FindingFields) -> tuple[Chosen, ...]:
    """Keep it (if doubted), what else was heard (the likeliest first), and "not said"."""
    found: list[Chosen] = []
    if isinstance(finding, Finding):
        if field in finding.doubted():
            found.append(Chosen(plain(finding, field), keep=True))
        others = [each for each in finding.alternatives if each.field == field]
        found += [Chosen(a.value) for a in sorted(others, key=lambda a: -a.score)]
    if field != "region":
        found.append(Chosen(empty(field)))
    return tuple(each for at, each in enumerate(found) if each not in found[:at])


def title_line(field: str, finding: FindingFields) -> Content:
    """The field, whose it is and what it holds."""
    of = f" of {finding.id}" if isinstance(finding, Finding) else ""
    return Content(f"{LABELS[field]}{of}: now {show(field, getattr(finding, field))}")


def doubt_lines(field: str, finding: FindingFields) -> Content:
    """Why the field is in doubt, and the words it was heard in."""
    if not isinstance(finding, Finding):
        return Content("")
    whys = [doubt.why for doubt in finding.needs_review if doubt.field == field]
    lines = [Content.styled(f"? {visible(why)}", "$warning") for why in whys]
    if finding.said:
        lines.append(Content.styled(f"heard: “{visible(finding.said, 200)}”", "$muted"))
    return Content("\n").join(lines)
