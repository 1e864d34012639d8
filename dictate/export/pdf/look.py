"""Colours, sizes and styles of the printed documents."""

from __future__ import annotations

from typing import Any

from reportlab.lib.colors import HexColor
from reportlab.lib.enums import TA_RIGHT
from reportlab.lib.styles import ParagraphStyle

from dictate.export.pdf.fonts import BOLD, REGULAR

INK = HexColor(0x1E2B33)
PALE_INK = HexColor(0x55636B)
RULE = HexColor(0xC3CBD0)
BAND = HexColor(0xEEF2F4)
MARK = HexColor(0x0B4F6C)
"""Marks on drawings and what points to them: dark enough to read when printed in grey."""
ALERT = HexColor(0x9A1B1B)
"""Always beside words that say the same, never alone."""


def _style(name: str, size: float, leading: float, **more: Any) -> ParagraphStyle:
    settings: dict[str, Any] = {
        "fontName": REGULAR, "fontSize": size, "leading": leading, "textColor": INK,
        "splitLongWords": 1, **more,
    }  # fmt: skip
    return ParagraphStyle(name, **settings)


TITLE = _style("title", 17, 21, fontName=BOLD)
HEADING = _style("heading", 11, 14, fontName=BOLD, textColor=MARK, spaceBefore=11, spaceAfter=4)
BODY = _style("body", 9.2, 12.4)
SMALL = _style("small", 8, 10.4)
PALE = _style("pale", 8, 10.4, textColor=PALE_INK)
ALARM = _style("alarm", 8.6, 11.4, fontName=BOLD, textColor=ALERT)
COLUMN = _style("column", 8, 10.4, fontName=BOLD)
NUMBER = _style("number", 9.2, 12.4, fontName=BOLD, textColor=MARK, alignment=TA_RIGHT)
LARGE_TITLE = _style("large title", 20, 25, fontName=BOLD)
LARGE_HEADING = _style(
    "large heading", 13.5, 17, fontName=BOLD, textColor=MARK, spaceBefore=13, spaceAfter=4,
)  # fmt: skip
LARGE = _style("large", 11.5, 16)
LARGE_NUMBER = _style("large number", 11.5, 16, fontName=BOLD, textColor=MARK, alignment=TA_RIGHT)
LETTER = _style("letter", 10.2, 14.2, spaceAfter=7)
