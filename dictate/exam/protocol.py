"""The protocol: which regions an examination goes through, and in which order."""

from __future__ import annotations

from pydantic import BaseModel, ConfigDict

from dictate.vocabulary.schema import Lexicon, Region, Slot


class Station(BaseModel):
    """What the examination must know of one region, kept with the record it belongs to.

    A record is read back years later, when the vocabulary may have changed: so the session
    carries its own copy.
    """

    model_config = ConfigDict(extra="forbid", frozen=True)

    region: str
    zone: str = "intraoral"
    paired: bool = True
    """True if a finding there needs a side."""
    high_risk: bool = False
    subsites: tuple[str, ...] = ()
    midline: tuple[str, ...] = ()
    """Sub-sites that are single and central, where no side is asked."""
    high_risk_subsites: tuple[str, ...] = ()

    def needs_side(self, subsite: str | None) -> bool:
        """True if a finding at that sub-site is not placed without a side."""
        return self.paired and subsite not in self.midline


class Protocol(BaseModel):
    """Stations in the order of the examination."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    stations: tuple[Station, ...]
    trimmed: tuple[Station, ...] = ()
    """Regions that the clinic has left out: not asked for, but what is found there is recorded."""
    sideless: tuple[str, ...] = ()
    """Variants and kinds of a whole region, of which no side is asked."""

    @classmethod
    def of(cls, lexicon: Lexicon) -> Protocol:
        """The protocol of a vocabulary, whose regions are in order already."""
        asked = frozenset(lexicon.protocol or (each.value for each in lexicon.regions))
        return cls(
            stations=tuple(_station(each) for each in lexicon.regions if each.value in asked),
            sideless=tuple(
                str(each.value)
                for slot in (Slot.NORMAL_VARIANT, Slot.KIND)
                for each in lexicon.terms.get(slot, ())
                if each.sideless
            ),
            trimmed=tuple(_station(each) for each in lexicon.regions if each.value not in asked),
        )

    @property
    def order(self) -> tuple[str, ...]:
        return tuple(station.region for station in self.stations)

    def station(self, region: str | None) -> Station | None:
        """The station of that name, a trimmed one too; None when there is none."""
        every = (*self.stations, *self.trimmed)
        return next((each for each in every if each.region == region), None)

    def after(self, region: str | None) -> str | None:
        """The region that follows; the first one after None; None at the end."""
        return self._step(region, +1)

    def before(self, region: str | None) -> str | None:
        """The region that comes before; None at the start."""
        return self._step(region, -1)

    def _step(self, region: str | None, by: int) -> str | None:
        order = self.order
        if region not in order:
            return order[0] if order and by > 0 else None
        index = order.index(region) + by
        return order[index] if 0 <= index < len(order) else None


def _station(region: Region) -> Station:
    parts = region.subsites
    return Station(
        region=region.value,
        zone=region.zone,
        paired=region.paired,
        high_risk=region.high_risk,
        subsites=tuple(part.value for part in parts),
        midline=tuple(part.value for part in parts if part.midline),
        high_risk_subsites=tuple(part.value for part in parts if part.high_risk),
    )
