"""A finding in words, in the order of the trade, for the screen and for reading aloud."""

from __future__ import annotations

from dictate.exam.commands import RegionState
from dictate.exam.editing import shown, title
from dictate.exam.finding import FieldValue, FindingFields


def finding_words(finding: FindingFields) -> str:
    """One or two sentences that hold every field said."""
    parts = [f"{finding.side or ''} {finding.subsite or ''} {finding.region or 'no region'}"]
    if finding.kind:
        parts.append(finding.kind)
    return " ".join(", ".join(parts).split()) + "."


def field_words(name: str, value: FieldValue) -> str:
    """One field and its value."""
    return f"{title(name)} {shown(value)}"


def mark_words(region: str, what: RegionState, side: str | None, reason: str | None) -> str:
    """A statement about a region."""
    place = f"{side} {region}" if side else region
    because = f", {reason}" if reason else ""
    return f"{place[0].upper()}{place[1:]}: {what.replace('_', ' ')}{because}."
