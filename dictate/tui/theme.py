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
    error="#ffb3a8",
    variables={
        "muted": "#bac9c8",
        "line": "#3b5860",
        "block-cursor-background": "#1a3a43",
        "block-cursor-foreground": "#ffffff",
        "block-cursor-text-style": "bold",
        "block-cursor-blurred-background": "#152e36",
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
    panel="#ece8da",
    foreground="#15211f",
    primary="#0a534a",
    secondary="#624404",
    accent="#1d4289",
    success="#21540f",
    warning="#733b00",
    error="#8f1d12",
    variables={
        "muted": "#3e4c49",
        "line": "#a79f87",
        "block-cursor-background": "#d3eae4",
        "block-cursor-foreground": "#0a1513",
        "block-cursor-text-style": "bold",
        "block-cursor-blurred-background": "#e6efe8",
        "block-cursor-blurred-foreground": "#15211f",
        "footer-background": "#ece8da",
        "footer-key-foreground": "#624404",
        "footer-description-foreground": "#15211f",
        "scrollbar": "#a79f87",
        "scrollbar-background": "#ece8da",
        "scrollbar-corner-color": "#ece8da",
    },
)

THEMES = (LAMPLIGHT, DAYLIGHT)
