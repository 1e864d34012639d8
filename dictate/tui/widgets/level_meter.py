"""How loud it is at the microphone."""

from __future__ import annotations

from textual.content import Content
from textual.reactive import reactive
from textual.widget import Widget

from dictate.audio.level import FLOOR_DB, Level

_QUIETEST = -60.0
_LOUDEST = -6.0
_CELLS = 8
_EVERY_S = 0.1
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

    def __init__(self) -> None:
        super().__init__()
        self._loudest = FLOOR_DB
        self._drawn_at = float("-inf")

    def show_level(self, level: Level, now: float) -> None:
        """Show a new level; loudness falls back slowly so that the eye can follow.

        Levels come thirty times a second; drawing a few of them costs a third of the work.
        """
        self._loudest = max(self._loudest, level.rms_db)
        if level.clipped or now - self._drawn_at >= _EVERY_S:
            self.db = max(self._loudest, self.db - 9.0)
            self.clipped = level.clipped
            self._loudest, self._drawn_at = FLOOR_DB, now

    def rest(self) -> None:
        """Show that nothing is being measured."""
        self.db, self.clipped = FLOOR_DB, False

    def render(self) -> Content:
        if self.clipped:
            return Content.assemble((bar(self.db), "$warning"), (" TOO LOUD", "bold $warning"))
        return Content.assemble((bar(self.db), "$primary"))
