"""The two looks of the screen: a dark one for a dimmed surgery, a light one for a bright one.

Contrast of text on its background is at least 7:1, so that it reads from across the room;
`tests/test_tui_looks.py` measures it.
"""

from __future__ import annotations

from textual.theme import Theme

LAMPLIGHT = Theme(
    name="lamplight",
    dark=True,
    background="#0d181c",
    surface="#122126",
    panel="#1a2f36",
    foreground="#eef4f1",
    primary="#7fd6c4",
    secondary="#e6cf9c",
    accent="#a9c7ff",
    success="#a6dc86",
    warning="#ffc266",
    error="#ff9d8f",
    variables={
        "muted": "#a9bcbb",
        "line": "#3b5860",
        "block-cursor-background": "#2b515a",
        "block-cursor-foreground": "#ffffff",
        "block-cursor-text-style": "bold",
        "block-cursor-blurred-background": "#1f3a42",
        "block-cursor-blurred-foreground": "#eef4f1",
        "input-selection-background": "#4d7f86",
        "footer-background": "#1a2f36",
        "footer-key-foreground": "#e6cf9c",
        "footer-description-foreground": "#c6d4d2",
        "scrollbar": "#3b5860",
        "scrollbar-background": "#122126",
        "scrollbar-corner-color": "#122126",
    },
)

DAYLIGHT = Theme(
    name="daylight",
    dark=False,
    background="#f6f3ea",
    surface="#fffdf7",
    panel="#e9e4d4",
    foreground="#15211f",
    primary="#0b5a50",
    secondary="#6a4a05",
    accent="#1d4289",
    success="#245a10",
    warning="#7a3f00",
    error="#8f1d12",
    variables={
        "muted": "#43524f",
        "line": "#a79f87",
        "block-cursor-background": "#cfe6e0",
        "block-cursor-foreground": "#0a1513",
        "block-cursor-text-style": "bold",
        "block-cursor-blurred-background": "#e3ece4",
        "block-cursor-blurred-foreground": "#15211f",
        "footer-background": "#e9e4d4",
        "footer-key-foreground": "#6a4a05",
        "footer-description-foreground": "#15211f",
        "scrollbar": "#a79f87",
        "scrollbar-background": "#e9e4d4",
        "scrollbar-corner-color": "#e9e4d4",
    },
)

THEMES = (LAMPLIGHT, DAYLIGHT)
