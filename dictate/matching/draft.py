"""A finding in the making: values, what is doubted, and the words each rests on."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from pydantic import ValidationError

from dictate.exam.finding import Alternative, Doubt, FieldValue, FindingFields
from dictate.matching.spots import Spot

LISTS = ("colours", "surface", "borders", "consistency", "symptoms", "denied_symptoms")
NO_LESION = "no lesion was named"
SITE_FIELDS = ("region", "subsite", "side", "node_level")


@dataclass(slots=True)
class Draft:
    """Mutable while a clause is read; the commands are made of it at the end."""

    values: dict[str, FieldValue] = field(default_factory=dict)
    doubts: list[tuple[str, str]] = field(default_factory=list)
    """Field and why, in the order raised."""
    others: list[Alternative] = field(default_factory=list)
    evidence: dict[str, list[Spot]] = field(default_factory=dict)
    """The spots that each field rests on."""
    notes: list[str] = field(default_factory=list)
    unknown: list[str] = field(default_factory=list)
    arch: str = ""
    """"upper" or "lower", of a tooth that was named."""
    aspect: str = ""
    """The side of that tooth ("buccal")."""

    def put(self, name: str, value: FieldValue, spot: Spot | None = None) -> None:
        """Set a field, or add to a field of many values."""
        if name in LISTS:
            held = self.values.get(name)
            old = [each for each in held if isinstance(each, str)] if isinstance(held, list) else []
            value = [*old, str(value)] if value not in old else list(old)
        self.values[name] = value
        if spot is not None:
            self.evidence.setdefault(name, []).append(spot)

    def doubt(self, name: str, why: str) -> None:
        if (name, why) not in self.doubts:
            self.doubts.append((name, why))

    def offer(self, name: str, value: FieldValue, score: float) -> None:
        """Note another value that may have been meant."""
        known = {(each.field, str(each.value)) for each in self.others}
        if (name, str(value)) not in known:
            self.others.append(Alternative(field=name, value=value, score=round(score, 1)))

    def get(self, name: str) -> FieldValue:
        return self.values.get(name)

    def details(self) -> dict[str, FieldValue]:
        """What is said besides the site."""
        return {
            k: v for k, v in self.values.items() if k not in SITE_FIELDS and v not in (None, [])
        }

    def fields(self) -> FindingFields:
        """The values as fields of a finding; what cannot be recorded is left out and doubted."""
        values = dict(self.values)
        if self.notes:
            values["note"] = "; ".join(dict.fromkeys(self.notes))
        try:
            return FindingFields.model_validate(values)
        except ValidationError as error:
            for bad in {str(each["loc"][0]) for each in error.errors()}:
                self.doubt(bad, f"{values[bad]} cannot be recorded: say it again")
                values.pop(bad)
                self.values.pop(bad, None)
            return FindingFields.model_validate(values)

    def needs_review(self) -> tuple[Doubt, ...]:
        """One doubt a field, with all its reasons."""
        reasons: dict[str, list[str]] = {}
        for name, why in self.doubts:
            reasons.setdefault(name, []).append(why)
        return tuple(Doubt(field=name, why="; ".join(whys)) for name, whys in reasons.items())

    def alternatives(self) -> tuple[Alternative, ...]:
        return tuple(self.others)

    def spots(self) -> Iterable[Spot]:
        for spots in self.evidence.values():
            yield from spots
