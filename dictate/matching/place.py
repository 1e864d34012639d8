"""One place as it was spoken."""

from __future__ import annotations

from dataclasses import dataclass

from dictate.matching.spots import Spot
from dictate.vocabulary.schema import Slot

SITES = frozenset({Slot.SIDE, Slot.REGION, Slot.SUBSITE, Slot.NODE_LEVEL})
"""Slots that say where."""


@dataclass(frozen=True, slots=True)
class Place:
    """A place as spoken, over spots that touch but for small words."""

    spots: tuple[Spot, ...]
    region: str | None = None
    subsite: str | None = None
    side: str | None = None
    level: str | None = None
    implied: tuple[tuple[Slot, str | bool], ...] = ()
    """Further slots that its phrases fix (the kind of a "submandibular node")."""
    doubts: tuple[tuple[str, str], ...] = ()
    """Field and why, for what the words leave open."""
    others: tuple[tuple[str, str], ...] = ()
    """Field and another value that the words may mean."""
    beside: str = ""
    """A part that it only lies beside, with the side ("left of the uvula")."""
    joined: bool = False
    """True if "and" joins it to the place right before it."""
    paused: bool = False
    """True if a pause stands before it, or before the small words that lead to it."""
    inferred: bool = False
    """True if the region was told from the name of a part alone."""

    @property
    def start(self) -> int:
        return self.spots[0].start

    @property
    def end(self) -> int:
        return self.spots[-1].end

    @property
    def only_level(self) -> bool:
        """True if it is said by a node level, and a side at most."""
        return self.level is not None and all(
            spot.slot in (Slot.SIDE, Slot.NODE_LEVEL) for spot in self.spots
        )

    @property
    def names_region(self) -> bool:
        """True if one of its names is of a region, or of a part that only one region has."""
        phrases = [spot.phrase for spot in self.spots if spot.phrase is not None]
        return any(
            each.slot is Slot.REGION or any(slot is Slot.REGION for slot, _ in each.fills)
            for each in phrases
            if each.slot in (Slot.REGION, Slot.SUBSITE)
        )

    @property
    def only_side(self) -> bool:
        return all(spot.slot is Slot.SIDE for spot in self.spots)
