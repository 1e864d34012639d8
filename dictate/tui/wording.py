"""Words and marks of the screen: one place, so that every screen calls a thing the same."""

from __future__ import annotations

from typing import NamedTuple

CAUTION = (
    "A record and reminder, not a diagnosis. Defer to licensed clinicians and local guidelines."
)
SHORT_CAUTION = "A record, not a diagnosis. Defer to licensed clinicians and local guidelines."
"""For a terminal of 80 columns."""

LABELS: dict[str, str] = {
    "region": "Region",
    "subsite": "Sub-site",
    "side": "Side",
    "count": "Number",
    "size_mm": "Size",
    "colours": "Colour",
    "kind": "Kind",
    "normal_variant": "Normal variant",
    "surface": "Surface",
    "borders": "Border",
    "consistency": "Consistency",
    "mobility": "Mobility",
    "attachment": "Attachment",
    "distribution": "Distribution",
    "tender": "Tender",
    "wipes_off": "Wipes off",
    "duration_days": "Duration",
    "change": "Change",
    "symptoms": "Symptoms",
    "denied_symptoms": "Denied",
    "node_level": "Node level",
    "note": "Note",
}
"""The finding's fields in the order in which the trade describes a lesion, and their names."""


class Mark(NamedTuple):
    """How a state shows: a symbol and a word; the style only underlines them."""

    symbol: str
    word: str
    style: str


CHECK = Mark("?", "check", "$warning")
REGION_MARKS: dict[str, Mark] = {
    "waiting": Mark("○", "waiting", "$muted"),
    "inspected": Mark("◐", "looked at", "$accent"),
    "palpated": Mark("◑", "felt", "$accent"),
    "both": Mark("◉", "looked, felt", "$accent"),
    "normal": Mark("✓", "normal", "$success"),
    "partly": Mark("◒", "normal", "$accent"),
    "finding": Mark("●", "with findings", "$secondary"),
    "not_examined": Mark("✕", "not examined", "$error"),
}
LISTENING_MARKS: dict[str, Mark] = {
    "loading": Mark("…", "LOADING MODEL", "$accent"),
    "listening": Mark("●", "LISTENING", "$success"),
    "behind": Mark("◌", "BUSY, SOUND IS KEPT", "$warning"),
    "paused": Mark("‖", "PAUSED", "$warning"),
    "speaking": Mark("♪", "READING ALOUD", "$accent"),
    "deaf": Mark("✕", "NOT HEARING", "$error"),
    "ended": Mark("■", "RECORDING ENDED", "$accent"),
    "keyboard": Mark("⌨", "KEYBOARD ONLY", "$secondary"),
}
HEARD_MARKS: dict[str, Mark] = {
    "finding": Mark("+", "finding", "$primary"),
    "command": Mark("›", "command", "$accent"),
    "normal": Mark("✓", "normal", "$success"),
    "ignored": Mark("–", "aside", "$warning"),
    "held": Mark("✕", "not taken", "$error"),
}


def counted(number: int, one: str, many: str | None = None) -> str:
    """ "1 finding", "2 findings"."""
    return f"{number} {one if number == 1 else many or one + 's'}"
