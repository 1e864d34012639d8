"""Text from outside (heard, typed, read back) made safe to print.

A document outlives the program that made it and is read elsewhere: nothing in it may act on a
terminal, reorder a line or hide. What cannot be seen is shown as its Unicode number.
"""

from __future__ import annotations

import re
import unicodedata

_UNSEEN = frozenset({"Cc", "Cf", "Cs", "Co", "Cn"})
_MOST_MARKS = 3
"""Combining marks kept on one letter; more would climb over the lines above."""
_BREAKS = re.compile("\r\n|[\n\r\u0085\u2028\u2029\x0b\x0c]")
_JOINERS = "\u200c\u200d"


def visible(text: str) -> str:
    """`text` on one line, every control, direction or unassigned character made visible."""
    flat = _BREAKS.sub(" ⏎ ", unicodedata.normalize("NFC", text)).replace("\t", " ")
    out: list[str] = []
    marks = 0
    for index, char in enumerate(flat):
        marks = marks + 1 if unicodedata.combining(char) else 0
        if marks > _MOST_MARKS or not _shows(flat, index):
            out.append(number_of(char))
        else:
            out.append(char)
    return "".join(out)


def number_of(char: str) -> str:
    """The character as its Unicode number: "[U+202E]"."""
    return f"[U+{ord(char):04X}]"


def _shows(text: str, index: int) -> bool:
    """True for what is seen, and for a joiner between Arabic letters, which shapes them."""
    char = text[index]
    if char in _JOINERS:
        around = text[index - 1 : index] + text[index + 1 : index + 2]
        return len(around) == 2 and all("\u0600" <= each <= "\u06ff" for each in around)
    return unicodedata.category(char) not in _UNSEEN
