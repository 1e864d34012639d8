"""How loud it is at the microphone."""

from __future__ import annotations

from textual.content import Content
from textual.reactive import reactive
from textual.widget import Widget

from dictate.audio.level import FLOOR_DB, Level

_QUIETEST = -60.0
_LOUDEST = -6.0
_CELLS = 8
_EIGHTHS = " ▏▎▍▌▋▊▉█"


def bar(db: float, cells: int = _CELLS) -> str:
    """A bar of that many cells, in eighths of a cell, from -60 dB (empty) to -6 dB (full)."""
    share = min(1.0, max(0.0, (db - _QUIETEST) / (_LOUDEST - _QUIETEST)))
    eighths = round(share * cells * 8)
    full, rest = divmod(eighths, 8)
    drawn = "█" * full + (_EIGHTHS[rest] if rest else "")
    return drawn.ljust(cells, "·")


class LevelMeter(Widget):
    """A bar and, when the microphone is set too high, the words that say so."""

    DEFAULT_CSS = "LevelMeter { width: auto; height: 1; }"
    db: reactive[float] = reactive(FLOOR_DB)
    clipped: reactive[bool] = reactive(False, layout=True)

    def show_level(self, level: Level) -> None:
        """Show a new level; loudness falls back slowly so that the eye can follow."""
        self.db = max(level.rms_db, self.db - 6.0)
        self.clipped = level.clipped

    def rest(self) -> None:
        """Show that nothing is being measured."""
        self.db, self.clipped = FLOOR_DB, False

    def render(self) -> Content:
        if self.clipped:
            return Content.assemble((bar(self.db), "$warning"), (" TOO LOUD", "bold $warning"))
        return Content.assemble((bar(self.db), "$primary"))
