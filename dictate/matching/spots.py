"""What was spotted in an utterance: a run of tokens and its meaning."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from dictate.matching.durations import Duration
from dictate.matching.likeness import Likely
from dictate.matching.sizes import Size
from dictate.vocabulary.schema import Phrase, Slot

SOFT_REPAIRS = (("actually",), ("hang", "on"))


class Mark(StrEnum):
    """A run of grammar words with a job of its own."""

    NEGATION = "negation"
    NOT_SURE = "not sure"
    PAST = "past"
    REPAIR = "repair"
    EXCEPT = "except"
    RESEMBLING = "resembling"
    LANDMARK = "landmark"
    TOOTH = "tooth"
    FUNCTION = "function"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Spot:
    """Tokens `start` to `end`; exactly one of phrases, size, duration and mark is set."""

    start: int
    end: int
    phrases: tuple[Phrase, ...] = ()
    """Phrases of these very words; more than one where a word has several meanings."""
    likely: Likely | None = None
    """Set when the words only resemble the phrase."""
    size: Size | None = None
    duration: Duration | None = None
    mark: Mark | None = None
    negated: bool = False
    said: tuple[str, ...] = ()
    """The words themselves."""
    taken_back: tuple[Spot, ...] = ()
    """For a repair: what it took back and replaced by something else."""
    settled: bool = False
    """True for a repair of which it is known what it took back."""

    @property
    def soft(self) -> bool:
        """True for "actually" and the like, which may repair nothing."""
        return self.said in SOFT_REPAIRS

    @property
    def phrase(self) -> Phrase | None:
        return self.phrases[0] if self.phrases else None

    @property
    def slot(self) -> Slot | None:
        return self.phrases[0].slot if self.phrases else None

    @property
    def score(self) -> float:
        """Likeness, 0 to 100."""
        return self.likely.score if self.likely else 100.0

    def has(self, *slots: Slot) -> bool:
        """True if one of its phrases fills one of these slots."""
        return any(phrase.slot in slots for phrase in self.phrases)
