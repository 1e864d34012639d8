"""The letters that PDF documents are set in.

One family for everything, embedded, so that a page looks the same everywhere: FiraGO (SIL Open
Font Licence, from the package pymupdf-fonts) has Latin, Greek, Cyrillic, Hebrew, Arabic, Thai and
Georgian. Chinese, Japanese and Korean letters come from DroidSansFallback (Apache License 2.0),
where the Debian package fonts-droid-fallback is installed. A character that neither has is printed
as its Unicode number, never left out.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator
from functools import lru_cache
from io import BytesIO
from itertools import groupby
from pathlib import Path
from typing import Any

import arabic_reshaper
import pymupdf_fonts
from bidi import get_display
from reportlab.lib.fonts import addMapping
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

from dictate.export.plain import number_of, visible

REGULAR, BOLD = "dictate", "dictate-bold"
WIDE = "dictate-wide"
WIDE_FILES = (
    Path("/usr/share/fonts-droid-fallback/truetype/DroidSansFallback.ttf"),
    Path("/usr/share/fonts/truetype/droid/DroidSansFallbackFull.ttf"),
)
_WIDE_BLOCKS = (
    (0x3001, 0x312F),
    (0x3400, 0x4DBF),
    (0x4E00, 0x9FFF),
    (0xAC00, 0xD7A3),
    (0xF900, 0xFAFF),
    (0xFF01, 0xFFEF),
)
"""Kana, Han, Hangul and full-width forms: letters that stand in a row just as they are."""
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
    wide()


@lru_cache(maxsize=1)
def _letters() -> frozenset[int]:
    register()
    fonts: list[Any] = [pdfmetrics.getFont(name) for name in _FILES]
    return frozenset.intersection(*(frozenset(each.face.charToGlyph) for each in fonts))


@lru_cache(maxsize=1)
def wide() -> frozenset[int]:
    """The letters of the wide scripts that can be printed; none where their font is missing."""
    path = next((each for each in WIDE_FILES if each.is_file()), None)
    if path is None:
        return frozenset()
    font = TTFont(WIDE, str(path))
    pdfmetrics.registerFont(font)
    addMapping(WIDE, 0, 0, WIDE)
    addMapping(WIDE, 1, 0, WIDE)
    known: Any = font.face
    return frozenset(
        code
        for code in known.charToGlyph
        if any(first <= code <= last for first, last in _WIDE_BLOCKS)
    )


def pieces(text: str, font: str) -> Iterator[tuple[str, str]]:
    """A line as it stands on paper in stretches of one font: (font, stretch)."""
    letters = _letters()

    def of(char: str) -> str:
        return WIDE if ord(char) not in letters and ord(char) in wide() else font

    for name, chars in groupby(text, of):
        yield name, "".join(chars)


def draw_line(canvas: Canvas, x: float, y: float, text: str, size: float) -> None:
    """One line of any text in regular letters, from `x` to the right."""
    for name, stretch in pieces(in_visual_order(text), REGULAR):
        canvas.setFont(name, size)
        canvas.drawString(x, y, stretch)
        x += pdfmetrics.stringWidth(stretch, name, size)


def drawable(text: str) -> str:
    """One safe line (see `visible`), characters without a letter shown as their number."""
    return "".join(_drawable(each) for each in visible(text))


def _drawable(char: str) -> str:
    if any(first <= char <= last for first, last in _UNSHAPED):
        return number_of(char)
    if ord(char) in _letters() or ord(char) in wide() or char in "\u200c\u200d":
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
    line = pieces(in_visual_order(text), font)
    return sum(pdfmetrics.stringWidth(stretch, name, size) for name, stretch in line)
