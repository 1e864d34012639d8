"""Text from outside (heard, typed, read from disk) made safe to show.

Terminals act on control characters and reorder lines on directional ones, and the screen's
own markup reads "[...]". Everything shown that a person said or typed passes through here. (What
documents need, letters whole and each unseen one numbered, is `dictate/export/plain.py`'s.)
"""

from __future__ import annotations

import unicodedata

_MOST_MARKS = 2
"""Combining marks kept on one letter; more would climb over the lines above."""
_DROPPED = frozenset(
    [chr(code) for code in range(0xFE00, 0xFE10)]  # variation selectors: width differs by terminal
    + [chr(code) for code in range(0x1F3FB, 0x1F400)]  # skin tones: likewise
    + ["\u200d", "\u00ad"]  # joiner and soft hyphen: likewise
)


def _visible_char(char: str) -> str:
    code = ord(char)
    if char in "\t\n\r\u2028\u2029":
        return " " if char in "\t" else "⏎"
    if char in _DROPPED:
        return ""
    if code < 0x20:
        return chr(0x2400 + code)
    if code == 0x7F:
        return "␡"
    if 0x1F1E6 <= code <= 0x1F1FF:  # flag letters join to one picture on some terminals
        return chr(ord("A") + code - 0x1F1E6)
    if unicodedata.category(char) in {"Cc", "Cf", "Cs", "Co", "Cn"}:
        return f"⟨{code:04X}⟩"
    return char


def visible(text: str, limit: int | None = None) -> str:
    """`text` on one line, with every invisible or acting character made a visible one.

    With `limit`, at most that many characters, the last one "…" when something was cut.
    """
    out: list[str] = []
    marks = 0
    for char in unicodedata.normalize("NFC", text):
        marks = marks + 1 if unicodedata.combining(char) else 0
        if marks <= _MOST_MARKS:
            out.append(_visible_char(char))
    shown = "".join(out)
    if limit is not None and len(shown) > limit:
        return shown[: limit - 1] + "…"
    return shown
