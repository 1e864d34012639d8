"""Site words gathered so far, before they are made a place."""

from __future__ import annotations

from dataclasses import dataclass, field

from dictate.matching.spots import Spot
from dictate.vocabulary.schema import Slot


@dataclass(slots=True)
class Group:
    """Spots gathered so far; `options` are the (region, sub-site) pairs still possible."""

    spots: list[Spot] = field(default_factory=list)
    regions: list[Spot] = field(default_factory=list)
    parts: list[Spot] = field(default_factory=list)
    sides: list[Spot] = field(default_factory=list)
    levels: list[Spot] = field(default_factory=list)
    joined: bool = False
    hint: str | None = None
    """The region that the name of the sentence's only lesion fixes."""
    of_lesion: bool = False
    """True if it follows right after a lesion ("ulcer on the right, ...")."""
    counted: bool = False
    """True if a number or "several" stands before it ("two firm lymph nodes")."""

    beside: bool = False
    """True if "from the" or its like stands before it ("from the midline, on the left")."""

    def add(self, spot: Spot) -> None:
        self.spots.append(spot)
        kinds = {
            Slot.REGION: self.regions,
            Slot.SUBSITE: self.parts,
            Slot.SIDE: self.sides,
            Slot.NODE_LEVEL: self.levels,
        }
        assert spot.slot is not None
        kinds[spot.slot].append(spot)
