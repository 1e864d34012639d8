"""A finding's fields as marked words: what is doubted says so, in every list alike."""

from __future__ import annotations

from collections.abc import Iterable

from textual.content import Content

from dictate.exam.finding import Finding, FindingFields
from dictate.tui.values import show
from dictate.tui.wording import CHECK

_NOUN = ("distribution", "colours", "kind")
"""Fields that read as one phrase ("scattered white plaques")."""
_DESCRIBING = (
    "normal_variant",
    "surface",
    "borders",
    "consistency",
    "mobility",
    "attachment",
    "tender",
    "wipes_off",
    "duration_days",
    "change",
    "symptoms",
    "denied_symptoms",
    "note",
)
_PHRASES = {
    ("tender", True): "tender",
    ("tender", False): "not tender",
    ("wipes_off", True): "wipes off",
    ("wipes_off", False): "does not wipe off",
}


def said(fields: FindingFields, name: str) -> bool:
    """True if something was said of that field."""
    return getattr(fields, name) not in (None, ())


def critical(finding: Finding, name: str, missing: str = "–") -> Content:
    """A field that must not be misread: its value, and "?" when it is to be checked."""
    text = show(name, getattr(finding, name)) if said(finding, name) else missing
    if name == "side":
        text = text.upper() if said(finding, name) else text
    if name in finding.doubted():
        return Content.styled(f"{text} {CHECK.symbol}", f"bold {CHECK.style}")
    return Content.styled(text, "bold" if said(finding, name) else "$muted")


def site(finding: Finding) -> Content:
    """Sub-site and region."""
    if finding.subsite is None and "subsite" not in finding.doubted():
        return critical(finding, "region", "no region")
    parts = (critical(finding, "subsite"), critical(finding, "region", "no region"))
    return Content(", ").join(parts)


def description(finding: Finding) -> Content:
    """Everything else that was said, in the order of the trade."""
    parts = list(_described(finding))
    return Content(", ").join(parts) if parts else Content.styled("not described", "$muted")


def _described(finding: Finding) -> Iterable[Content]:
    doubted = finding.doubted()
    if finding.count not in (None, 1) or "count" in doubted:
        yield _marked(f"number {finding.count or '–'}", "count" in doubted)
    if finding.node_level is not None:
        yield _marked(f"level {show('node_level', finding.node_level)}", "node_level" in doubted)
    noun = [each for name in _NOUN for each in _field(finding, name)]
    if noun:
        yield Content(" ").join(noun)
    for name in _DESCRIBING:
        yield from _field(finding, name)


def _field(finding: Finding, name: str) -> Iterable[Content]:
    doubted = finding.doubted()
    if said(finding, name) or name in doubted:
        yield _marked(_phrase(finding, name), name in doubted)


def _phrase(finding: Finding, name: str) -> str:
    value = getattr(finding, name)
    if isinstance(value, bool):
        return _PHRASES[name, value]
    text = show(name, value)
    return {
        "normal_variant": f"normal variant: {text}",
        "denied_symptoms": f"denies {text}",
        "note": f"“{text}”",
    }.get(name, text)


def _marked(text: str, doubted: bool) -> Content:
    return Content.styled(f"{text} {CHECK.symbol}", CHECK.style) if doubted else Content(text)
