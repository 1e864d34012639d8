"""JSON text that is safe to print: what acts or hides is written as its escape."""

from __future__ import annotations

import json
import unicodedata
from typing import Any

_HIDDEN = frozenset({"Cc", "Cf", "Cs", "Co", "Zl", "Zp"})


def json_text(document: Any) -> str:
    """The document indented, ending in a newline; a reader gets back the very same values."""
    text = json.dumps(document, ensure_ascii=False, indent=2)
    return "".join(map(_escaped, text)) + "\n"


def _escaped(char: str) -> str:
    if char == "\n" or unicodedata.category(char) not in _HIDDEN:
        return char
    return json.dumps(char)[1:-1]
