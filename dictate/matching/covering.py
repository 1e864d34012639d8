"""The cover of an utterance by spots that explains most of its words."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from dictate.matching.spots import Mark, Spot

_UNKNOWN_COST = 0.6


def best_cover(
    length: int, by_start: Mapping[int, Sequence[tuple[float, Spot]]]
) -> tuple[Spot, ...]:
    """The cover of greatest worth, from the end backwards; ties go to the longer spot."""
    best: list[float] = [0.0] * (length + 1)
    choice: list[Spot | None] = [None] * length
    for start in reversed(range(length)):
        best[start] = best[start + 1] - _UNKNOWN_COST
        options = sorted(by_start.get(start, ()), key=lambda each: -each[1].end)
        for worth, spot in options:
            total = worth + best[spot.end]
            if total > best[start] + 1e-9:
                best[start], choice[start] = total, spot
    return tuple(_walk(length, choice))


def _walk(length: int, choice: Sequence[Spot | None]) -> Iterator[Spot]:
    index = 0
    while index < length:
        spot = choice[index] or Spot(index, index + 1, mark=Mark.UNKNOWN)
        yield spot
        index = spot.end
