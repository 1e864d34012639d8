"""How the size of a lesion has changed, in figures and as a plot made of text.

Two dimensions are compared by their product, one by its length: the product of the two longest
perpendicular diameters is the measure of the WHO Handbook for Reporting Results of Cancer
Treatment (1979; Miller et al., Cancer 1981;47:207-214), the longest diameter that of RECIST
(Therasse et al., J Natl Cancer Inst 2000;92:205-216). Only the arithmetic is taken from there:
nothing here says what a change means.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Literal

from dictate.exam.readback import number, size_words

Size = tuple[float, ...]
"""Millimetres, one to three dimensions, in the order spoken."""
Measured = tuple[date, Size]
_EIGHTHS = " ▏▎▍▌▋▊▉█"
_LEVELS = "▁▂▃▄▅▆▇█"


@dataclass(frozen=True, slots=True)
class SizeChange:
    """From one size to another."""

    before: Size
    after: Size
    longest_mm: float
    """The longest dimension now less the longest before; negative: shorter."""
    longest_percent: float
    product_percent: float | None
    """Change of the product of the two longest dimensions; None unless both have two."""

    @property
    def direction(self) -> Literal["larger", "smaller", "unchanged"]:
        """By the product where there is one, else by the longest dimension."""
        change = self.longest_mm if self.product_percent is None else self.product_percent
        if not change:
            return "unchanged"
        return "larger" if change > 0 else "smaller"


def size_change(before: Size, after: Size) -> SizeChange | None:
    """The change between two sizes; None when one of them was not measured."""
    if not before or not after:
        return None
    old, new = sorted(before, reverse=True), sorted(after, reverse=True)
    product = None
    if len(old) > 1 and len(new) > 1:
        product = _percent(old[0] * old[1], new[0] * new[1])
    return SizeChange(
        before=before,
        after=after,
        longest_mm=round(new[0] - old[0], 2),
        longest_percent=_percent(old[0], new[0]),
        product_percent=product,
    )


def change_words(change: SizeChange) -> str:
    """ "smaller: longest -4 mm (-40%), product -60%"."""
    if change.direction == "unchanged" and not change.longest_mm:
        return "unchanged in size"
    words = f"{change.direction}: longest {_signed(change.longest_mm)} mm"
    words += f" ({_signed(round(change.longest_percent))}%)"
    if change.product_percent is not None:
        words += f", product {_signed(round(change.product_percent))}%"
    return words


def plot(sizes: Iterable[Measured], width: int = 24) -> tuple[str, ...]:
    """One line a visit, the longest dimension as a bar true to scale from zero.

    `width` is the longest bar in characters. The same figures stand beside each bar, so that
    nothing is told by the bar alone.
    """
    points = list(sizes)
    top = max((max(size) for _, size in points), default=0.0)
    lines: list[str] = []
    before: Size = ()
    for day, size in points:
        change = size_change(before, size)
        told = f"  {change_words(change)}" if change else ""
        lines.append(f"{day}  {_bar(max(size), top, width)}  {size_words(size)}{told}")
        before = size
    return tuple(lines)


def sparkline(sizes: Sequence[Size]) -> str:
    """The longest dimensions as one character each, true to scale from zero."""
    longest = [max(size) for size in sizes if size]
    top = max(longest, default=0.0)
    return "".join(_LEVELS[max(0, round(each / top * 8) - 1)] for each in longest)


def _bar(value: float, top: float, width: int) -> str:
    eighths = max(1, round(value / top * width * 8))
    whole, rest = divmod(eighths, 8)
    bar = "█" * whole + (_EIGHTHS[rest] if rest else "")
    return bar.ljust(width)


def _percent(before: float, after: float) -> float:
    return round(100 * (after - before) / before, 2)


def _signed(value: float) -> str:
    return f"{'-' if value < 0 else '+'}{number(abs(value))}" if value else "0"
