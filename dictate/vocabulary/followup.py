"""The shape of the follow-up rules: when a finding is looked at again, and what prompts at once.

A rule is a published sentence turned into figures. It prompts a licensed clinician; it never
names a disease and never decides.
"""

from __future__ import annotations

from typing import Literal

from pydantic import BaseModel, ConfigDict, Field, field_validator

Urgency = Literal["at once", "evaluate", "note"]
"""The first two ask for a decision with its reason; a note only tells."""
ANYWHERE = "any"
"""The jurisdiction of rules that hold everywhere."""
FEATURE_FIELDS = ("colours", "surface", "borders", "consistency", "mobility", "symptoms")
"""Fields of a finding that a rule may look into."""


class _Strict(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class Rule(_Strict):
    """One rule. It looks at findings in its scope, and speaks when one of its triggers holds.

    Scope: every one given must hold. Triggers: any one is enough; with none, being in scope is.
    """

    value: str
    """Its name, by which a clinic switches it on or off."""
    says: str = Field(min_length=1)
    """The prompt, to a licensed clinician."""
    source: str = Field(min_length=1)
    """Where it is published, or "common practice, no source"."""
    jurisdictions: tuple[str, ...] = (ANYWHERE,)
    on: bool | None = None
    """True or False: always or never; not given: on where its jurisdiction is the clinic's."""
    urgency: Urgency = "evaluate"
    note: str | None = None

    zone: Literal["extraoral", "intraoral"] | None = None
    regions: tuple[str, ...] = ()
    subsites: tuple[str, ...] = ()
    kinds: tuple[str, ...] = ()
    colours: tuple[str, ...] = ()
    or_kinds: tuple[str, ...] = ()
    """Kinds that stand for one of `colours`, whatever colour was said."""
    symptoms: tuple[str, ...] = ()
    high_risk_site: bool = False
    """True if only findings at a high-risk site are looked at."""

    over_days: int | None = None
    """Speaks when present for more days than this."""
    from_days: int | None = None
    """Speaks when present for this many days or more."""
    unknown_duration: bool = False
    """Speaks when nobody said, and no earlier visit shows, how long it has been there."""
    visits: int | None = Field(default=None, ge=2)
    """Speaks when seen at this many visits ..."""
    apart_days: int = Field(default=0, ge=0)
    """... the first and the last of them at least this many days apart."""
    over_mm: float | None = None
    """Speaks when its longest dimension is more than this."""
    features: dict[str, tuple[str, ...]] = {}
    """Speaks when a field of the finding has one of these values."""

    @field_validator("features")
    @classmethod
    def _known_fields(cls, value: dict[str, tuple[str, ...]]) -> dict[str, tuple[str, ...]]:
        for name in value:
            if name not in FEATURE_FIELDS:
                raise ValueError(f"{name} is none of {', '.join(FEATURE_FIELDS)}")
        return value

    def is_on(self, jurisdictions: tuple[str, ...]) -> bool:
        """True if a clinic of these jurisdictions uses it."""
        if self.on is not None:
            return self.on
        return bool({ANYWHERE, *jurisdictions} & set(self.jurisdictions))

    @property
    def has_triggers(self) -> bool:
        return bool(
            self.over_days is not None
            or self.from_days is not None
            or self.unknown_duration
            or self.visits
            or self.over_mm is not None
            or self.features
        )


class SizeTerm(_Strict):
    """A term that one tradition of textbooks binds to a size.

    Textbooks say "less than 5 mm" and "more than 5 mm": the limit itself is left open, so it
    fits both.
    """

    value: str
    """Its own name: term and tradition."""
    kind: str
    tradition: str
    at_most_mm: float | None = None
    """Larger than this, the term does not fit."""
    at_least_mm: float | None = None
    """Smaller than this, the term does not fit."""
    source: str = Field(min_length=1)


class Settings(_Strict):
    """What a clinic chooses; each with the source of its default."""

    jurisdictions: tuple[str, ...] = ()
    jurisdictions_source: str = ""
    recheck_days: int = Field(default=14, ge=1, le=366)
    """Days from the visit to the day an abnormal finding is looked at again."""
    recheck_source: str = ""
    answer_days: int = Field(default=14, ge=1, le=366)
    """Days from a referral to the day its answer is asked after."""
    answer_source: str = ""
    size_terms: str = ""
    """The tradition of size terms; "" raises no notice."""
    size_terms_source: str = ""


class FollowUp(_Strict):
    """Everything an examination needs to know of follow-up: kept with the record it belongs to."""

    settings: Settings = Settings()
    rules: tuple[Rule, ...] = ()
    size_terms: tuple[SizeTerm, ...] = ()

    def chosen(self) -> FollowUp:
        """Only the rules and terms that the clinic uses."""
        places, tradition = self.settings.jurisdictions, self.settings.size_terms
        return FollowUp(
            settings=self.settings,
            rules=tuple(each for each in self.rules if each.is_on(places)),
            size_terms=tuple(each for each in self.size_terms if each.tradition == tradition),
        )
