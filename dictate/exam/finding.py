"""A finding: what was seen or felt at one place, field by field."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, field_validator

Side = Literal["left", "right", "midline", "bilateral"]
FieldValue = str | bool | int | float | list[str] | list[float] | None
CRITICAL = ("region", "subsite", "side", "size_mm")
"""Fields whose error can hurt somebody: doubted ones are never passed without a decision."""


BOTH = frozenset({"right", "left"})


class _Value(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False)


def _known(field: str) -> str:
    if field not in FindingFields.model_fields:
        raise ValueError(f"a finding has no field {field}")
    return field


FieldName = Annotated[str, AfterValidator(_known)]


class Doubt(_Value):
    """A field that a person must settle before signing, and why."""

    field: FieldName
    why: str


class Alternative(_Value):
    """Another value that the speech could have meant."""

    field: FieldName
    value: FieldValue
    score: float
    """0 to 100, on the scale of the matcher."""


class FindingFields(_Value):
    """What is recorded. None or an empty list: not said. False: said to be absent.

    Sizes in millimetres, in the order spoken; durations in days (week 7, month 30).
    """

    region: str | None = None
    subsite: str | None = None
    side: Side | None = None
    kind: str | None = None
    count: int | None = Field(default=None, ge=0, le=999)
    distribution: str | None = None
    size_mm: tuple[float, ...] = ()
    colours: tuple[str, ...] = ()
    surface: tuple[str, ...] = ()
    borders: tuple[str, ...] = ()
    consistency: tuple[str, ...] = ()
    mobility: str | None = None
    tender: bool | None = None
    attachment: str | None = None
    wipes_off: bool | None = None
    symptoms: tuple[str, ...] = ()
    denied_symptoms: tuple[str, ...] = ()
    """Symptoms said to be absent ("no pain")."""
    change: str | None = None
    duration_days: int | None = Field(default=None, ge=0, le=36_500)
    normal_variant: str | None = None
    node_level: str | None = None
    note: str | None = None
    """Words of the dictation that fitted no field, kept in the clinician's wording."""

    @field_validator("size_mm")
    @classmethod
    def _plausible_size(cls, value: tuple[float, ...]) -> tuple[float, ...]:
        if len(value) > 3:
            raise ValueError("a size has at most three dimensions")
        if any(not 0 < each <= 500 for each in value):
            raise ValueError("each dimension lies above 0 and at most 500 mm")
        return value


FIELD_NAMES: tuple[str, ...] = tuple(FindingFields.model_fields)


class Finding(FindingFields):
    """A recorded finding: its fields, what is doubted, and where it came from."""

    id: str
    """Stable within the session ("f1", "f2", ... in order of dictation)."""
    needs_review: tuple[Doubt, ...] = ()
    alternatives: tuple[Alternative, ...] = ()
    confidence: float = 1.0
    said: str = ""
    """The dictated words, as heard."""
    utterances: tuple[str, ...] = ()
    """Ids of the utterances it rests on."""

    @property
    def fields(self) -> FindingFields:
        return FindingFields(**{name: getattr(self, name) for name in FIELD_NAMES})

    def doubted(self) -> frozenset[str]:
        """Names of the fields still to be settled."""
        return frozenset(doubt.field for doubt in self.needs_review)


def sides_meet(one: str | None, other: str | None) -> bool:
    """True if two things on these sides may be at one place; no side, or both: anywhere."""
    return one not in BOTH or other not in BOTH or one == other
