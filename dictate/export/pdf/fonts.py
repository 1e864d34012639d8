"""The letters that PDF documents are set in.

One family for everything, embedded, so that a page looks the same everywhere: FiraGO (SIL Open
Font Licence, from the package pymupdf-fonts) has Latin, Greek, Cyrillic, Hebrew, Arabic, Thai and
Georgian. A character that it lacks is printed as its Unicode number, never left out.
"""

from __future__ import annotations

import unicodedata
from functools import lru_cache
from io import BytesIO
from typing import Any

import arabic_reshaper
import pymupdf_fonts
from bidi import get_display
from reportlab.lib.fonts import addMapping
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

from dictate.export.plain import number_of, visible

REGULAR, BOLD = "dictate", "dictate-bold"
_FILES = {REGULAR: "figo", BOLD: "figbo"}
_UNSHAPED = (("\u0900", "\u097f"), ("\ua8e0", "\ua8ff"))
"""Scripts whose letters would come out in the wrong order or form: Devanagari."""
RIGHT_MARK = "\u200f"
"""Acts as a right-to-left letter in the ordering and is never printed."""
_HIDDEN = str.maketrans(dict.fromkeys("\u200c\u200d\u200f"))
_SHAPER = arabic_reshaper.ArabicReshaper({"delete_harakat": False})


@lru_cache(maxsize=1)
def register() -> None:
    """Make the family known to the PDF library; cheap from the second call on."""
    for name, file in _FILES.items():
        pdfmetrics.registerFont(TTFont(name, BytesIO(pymupdf_fonts.myfont(file))))
    addMapping(REGULAR, 0, 0, REGULAR)
    addMapping(REGULAR, 1, 0, BOLD)
    addMapping(BOLD, 0, 0, BOLD)
    addMapping(BOLD, 1, 0, BOLD)


@lru_cache(maxsize=1)
def _letters() -> frozenset[int]:
    register()
    fonts: list[Any] = [pdfmetrics.getFont(name) for name in _FILES]
    return frozenset.intersection(*(frozenset(each.face.charToGlyph) for each in fonts))


def drawable(text: str) -> str:
    """One safe line (see `visible`), characters without a letter shown as their number."""
    return "".join(_drawable(each) for each in visible(text))


def _drawable(char: str) -> str:
    if any(first <= char <= last for first, last in _UNSHAPED):
        return number_of(char)
    if ord(char) in _letters() or char in "\u200c\u200d":
        return char
    return " " if unicodedata.category(char) == "Zs" else number_of(char)


def is_right_to_left(text: str) -> bool:
    """True if any of it runs from right to left."""
    return any(unicodedata.bidirectional(each) in ("R", "AL", "AN") for each in text)


def in_visual_order(line: str, *, base: str = "L") -> str:
    """One line of logical text as its letters stand on paper, Arabic ones joined.

    `base` "L" or "R": the direction of the paragraph.
    """
    if not is_right_to_left(line):
        return line
    shaped = get_display(_SHAPER.reshape(line), base_dir=base)
    return "".join(_isolated(each) for each in shaped).translate(_HIDDEN)


def strong(text: str) -> str:
    """The directions of the letters that have one, in order: "L" and "R"."""
    found = (unicodedata.bidirectional(each) for each in text)
    return "".join("L" if each == "L" else "R" for each in found if each in ("L", "R", "AL"))


def _isolated(char: str) -> str:
    """The letter itself for an isolated form, which fonts rarely have apart from it."""
    if ord(char) in _letters():
        return char
    made = unicodedata.decomposition(char).split()
    if made[:1] == ["<isolated>"]:
        return "".join(chr(int(code, 16)) for code in made[1:])
    return char


def width_of(text: str, size: float, font: str = REGULAR) -> float:
    """Width in points of a line as it stands on paper."""
    register()
    return pdfmetrics.stringWidth(in_visual_order(text), font, size)
