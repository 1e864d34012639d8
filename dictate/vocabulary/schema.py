"""The shape of the files in `vocab/`, and the lexicon they become."""

from __future__ import annotations

from collections.abc import Iterable
from enum import StrEnum
from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field, StringConstraints, field_validator

from dictate.vocabulary.followup import FollowUp
from dictate.vocabulary.history import RiskFactor, VisitTerm
from dictate.vocabulary.templates import expanded

Spoken = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, to_lower=True)]


class Slot(StrEnum):
    """What a spoken phrase says about a finding; names equal the finding's fields."""

    REGION = "region"
    SUBSITE = "subsite"
    SIDE = "side"
    KIND = "kind"
    DISTRIBUTION = "distribution"
    COLOUR = "colours"
    SURFACE = "surface"
    BORDER = "borders"
    CONSISTENCY = "consistency"
    MOBILITY = "mobility"
    TENDER = "tender"
    ATTACHMENT = "attachment"
    WIPES_OFF = "wipes_off"
    SYMPTOM = "symptoms"
    CHANGE = "change"
    NORMAL_VARIANT = "normal_variant"
    NODE_LEVEL = "node_level"
    NORMAL = "normal"
    """Phrases that pronounce a region healthy ("within normal limits")."""
    NOT_EXAMINED = "not_examined"
    """Phrases that say a region was not examined; the value is the reason."""
    EXAMINED = "examined"
    """Phrases that say a region was "inspected" or "palpated", in a breath without a finding."""
    NOTE = "note"
    """Words with no field of their own, kept in the note as said ("small", "traumatic")."""
    FIELD = "field"
    """Names of the fields themselves, after "correct"; the value is a field of a finding."""
    LENGTH_UNIT = "length_unit"
    TIME_UNIT = "time_unit"
    COMMAND = "command"
    FILLER = "filler"
    """Words that carry nothing for the record ("there is", "patient reports")."""
    CARRY = "carry"
    """Words that point back ("same site", "another one")."""


EXACT_SLOTS = frozenset({Slot.SIDE, Slot.LENGTH_UNIT, Slot.TIME_UNIT, Slot.NODE_LEVEL})
"""Slots never matched by likeness: a near miss there is a wrong record."""


class _Strict(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class Term(_Strict):
    """One value of a slot and the ways it is spoken."""

    value: str | bool | float
    """What the record holds; for units, millimetres or days in one of it."""
    say: tuple[Spoken, ...] = Field(min_length=1)
    """Spoken forms, the usual one first. Lower case; digits spelt out."""
    plurals: tuple[Spoken, ...] = ()
    """Spoken forms that say "more than one" of it ("ulcers")."""
    absent: tuple[Spoken, ...] = ()
    """Spoken forms that say it is not there ("painless")."""
    hear: tuple[Spoken, ...] = ()
    """Known mishearings that mean this and nothing else."""
    vague: tuple[Spoken, ...] = ()
    """Loose forms: recorded as this value, and always asked about."""
    implies: dict[Slot, str | bool] = {}
    """Other slots the phrase itself fixes ("torus palatinus" is on the hard palate)."""
    opposite: str | bool | None = None
    """Value recorded when the phrase is negated ("not fixed"); None records nothing."""
    plausible: tuple[str, ...] = ()
    """Regions where a normal variant may be; elsewhere the tool asks."""
    sideless: bool = False
    """True for a variant or a kind of a whole region ("geographic tongue"): no side is asked."""
    exact: bool = False
    """True if never matched by likeness."""
    plural: bool = False
    """True if every spoken form says "more than one"."""
    note: str | None = None
    source: str | None = None


class Subsite(_Strict):
    """A named part of a region."""

    value: str
    say: tuple[Spoken, ...] = Field(min_length=1)
    """Forms that need the region ("lateral border")."""
    alone: tuple[Spoken, ...] = ()
    """Forms that name region and sub-site at once ("lateral tongue", "uvula")."""
    vague: tuple[Spoken, ...] = ()
    """Loose forms that name region and sub-site: recorded so, and always asked about."""
    hear: tuple[Spoken, ...] = ()
    """Known mishearings, each of a form in `say`: they too need the region."""
    implies: dict[Slot, str | bool] = {}
    """Further slots that the forms in `alone` fix ("submandibular node" is a lymph node)."""
    midline: bool = False
    """True if the part is single and central, so that no side is asked."""
    high_risk: bool = False
    exact: bool = False
    """True if `say` is never matched by likeness (opposites: upper/lower, dorsal/ventral)."""


class Region(_Strict):
    """A region of the examination, in the words of the trade."""

    value: str
    zone: Annotated[str, StringConstraints(pattern="^(extraoral|intraoral)$")]
    say: tuple[Spoken, ...] = Field(min_length=1)
    vague: tuple[Spoken, ...] = ()
    """Loose forms ("palate"): recorded as this region, and always asked about."""
    hear: tuple[Spoken, ...] = ()
    paired: bool = True
    """True if a finding there needs a side."""
    high_risk: bool = False
    inspect: str | None = None
    palpate: str | None = None
    bimanual: bool = False
    normal: str | None = None
    """What is found there in health, for the screen's prompt."""
    subsites: tuple[Subsite, ...] = ()
    halves: tuple[str, ...] = ()
    """Sub-sites that make up the whole: where all of them are normal, the region is."""
    jaw: Annotated[str, StringConstraints(pattern="^(upper|lower)$")] | None = None
    """The jaw that it is of by itself: saying so adds nothing ("lower retromolar pad")."""
    source: str | None = None


class CommandTerm(_Strict):
    """A spoken command; `takes` names what follows it."""

    value: Annotated[
        str,
        StringConstraints(
            pattern="^(undo|redo|delete|correct|next_region|previous_region|go_to|pause|resume"
            "|review|confirm|reject|save|skip|repeat|help|not_for_record|export|set_aside|close"
            "|promote|read_aloud|read_silent|leave_rest|worklist|patients|kept|this_patient|earlier_lesions"
            "|decide|amendments|record_answer|open_row|row|row_down|row_up|to_examination"
            "|edit|keep|mark|look|lock|leave|export_list|register|amend)$"
        ),
    ]
    say: tuple[Spoken, ...] = Field(min_length=1)
    review_only: tuple[Spoken, ...] = ()
    """Forms that mean the command only in the confirmation pass ("yes")."""
    hear: tuple[Spoken, ...] = ()
    patterns: tuple[Spoken, ...] = ()
    """Longer ways to say it, understood but not listened for (`dictate.vocabulary.patterns`)."""
    review_patterns: tuple[Spoken, ...] = ()
    """Such ways that mean it only in the confirmation pass."""
    paused_patterns: tuple[Spoken, ...] = ()
    """Such ways that mean it only while listening is paused ("let us continue")."""
    takes: Annotated[str, StringConstraints(pattern="^(nothing|field|region|number|text)$")] = (
        "nothing"
    )

    @field_validator("patterns", "review_patterns", "paused_patterns")
    @classmethod
    def _readable(cls, patterns: tuple[str, ...]) -> tuple[str, ...]:
        for pattern in patterns:
            try:
                expanded(pattern)
            except ValueError as error:
                raise ValueError(f"{pattern!r}: {error}") from None
        return patterns


class Confusion(_Strict):
    """Words that engines or ears swap, in a slot where a swap hurts.

    A word that is no spoken form of the slot ("lift") is a slip: heard where the slot is
    expected, it may stand for the others. Two words that both are forms may stand for each other.
    """

    words: tuple[Spoken, ...] = Field(min_length=2)
    slot: Slot | None = None
    """The slot at stake; None for numbers."""
    source: str | None = None


class Bystander(_Strict):
    """Everyday words that say nothing of the place or the figure that they stand beside."""

    value: str
    say: tuple[Spoken, ...] = Field(min_length=1)
    """Single words."""


class Spelling(_Strict):
    """How written words are folded into the one spelling that phrases use."""

    american: dict[str, str] = {}
    """American (or other) spelling of a word to the British one that phrases use."""
    also: frozenset[str] = frozenset()
    """Those keys of `american` that are no American spelling, only another."""
    contractions: dict[str, str] = {}
    """One written word to the two that are meant ("doesn't": "does not")."""

    def fold(self, word: str) -> str:
        """The word in the spelling that phrases use."""
        return self.american.get(word, word)

    def spread(self, words: Iterable[str]) -> frozenset[str]:
        """The words and every other spelling of them."""
        known = set(words)
        return frozenset(known | {us for us, uk in self.american.items() if uk in known})


class ProtocolFile(_Strict):
    """The order of the examination: region values, first to last."""

    order: tuple[str, ...] = Field(min_length=1)
    source: str | None = None


class Phrase(_Strict):
    """One spoken form, compiled: matching works on these alone."""

    words: tuple[str, ...]
    """Normalised: lower case, no punctuation, American spelling folded to British."""
    slot: Slot
    value: str | bool | float
    fills: tuple[tuple[Slot, str | bool], ...] = ()
    """Further slots the phrase fixes (region of a sub-site, implied side ...)."""
    exact: bool = False
    misheard: bool = False
    """True for a `hear` form: it matches, and the engine is known to have been wrong."""
    opposite: str | bool | None = None
    plural: bool = False
    negated: bool = False
    """True if the phrase itself says that the value is absent ("painless")."""
    vague: bool = False
    """True if the value is only the likeliest meaning: always to be asked about."""
    review_only: bool = False
    """True for a command form that is one only in the confirmation pass ("yes")."""
    regions: tuple[str, ...] = ()
    """For a sub-site that needs its region: the regions that have it under this form."""

    @property
    def text(self) -> str:
        return " ".join(self.words)


class Lexicon(_Strict):
    """Everything the vocabulary says; immutable, made by `dictate.vocabulary.loader.load`."""

    regions: tuple[Region, ...]
    """In protocol order; regions that a clinic trimmed from its protocol come last."""
    protocol: tuple[str, ...] = ()
    """Values of the regions that an examination must cover, first to last."""
    terms: dict[Slot, tuple[Term, ...]]
    commands: tuple[CommandTerm, ...]
    confusions: tuple[Confusion, ...]
    phrases: tuple[Phrase, ...]
    spelling: Spelling = Spelling()
    followup: FollowUp = FollowUp()
    """All follow-up rules, also those that the clinic does not use."""
    risks: tuple[RiskFactor, ...] = ()
    """The lines of the risk history, in order."""
    visits: tuple[VisitTerm, ...] = ()
    bystanders: frozenset[str] = frozenset()
    """All words of the table of that name."""

    def region(self, value: str) -> Region:
        """The region of that value; KeyError when there is none."""
        for region in self.regions:
            if region.value == value:
                return region
        raise KeyError(value)

    def words(self) -> frozenset[str]:
        """Every word of every phrase, in all its spellings, for the speech engines' bias."""
        return self.spelling.spread(word for phrase in self.phrases for word in phrase.words)
