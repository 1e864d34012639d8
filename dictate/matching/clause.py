"""A clause: items about one lesion, or one statement about regions."""

from __future__ import annotations

from dataclasses import dataclass

from dictate.matching.items import Item
from dictate.matching.place import Place
from dictate.matching.spots import Spot


@dataclass(frozen=True, slots=True)
class Clause:
    """Items about one thing; `anchor` is what it is about, None for bare details."""

    items: tuple[Item, ...]
    anchor: Item | None
    unclear: bool = False
    """True if the words do not tell which place belongs to which lesion of the sentence."""

    loose_size: bool = False
    """True if a size stands between two lesions and may be of either."""

    @property
    def places(self) -> tuple[Place, ...]:
        return tuple(item for item in self.items if isinstance(item, Place))

    @property
    def spots(self) -> tuple[Spot, ...]:
        return tuple(item for item in self.items if isinstance(item, Spot))
