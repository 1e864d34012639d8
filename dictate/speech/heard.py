"""What an engine heard: plain values, free of any engine."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Word:
    """One word; times in seconds since the recording or the listening began."""

    text: str
    start_s: float
    end_s: float
    confidence: float
    """0 (no trust) to 1; 1 for typed text."""


@dataclass(frozen=True, slots=True)
class Hypothesis:
    """One reading of an utterance; `score` compares only within its n-best list."""

    words: tuple[Word, ...]
    score: float

    @property
    def text(self) -> str:
        return " ".join(word.text for word in self.words)


@dataclass(frozen=True, slots=True)
class Partial:
    """Words so far of an utterance still being spoken; may be revised."""

    text: str
    start_s: float


@dataclass(frozen=True, slots=True)
class Utterance:
    """A finished stretch of speech with its readings, best first (at least one)."""

    hypotheses: tuple[Hypothesis, ...]
    start_s: float
    end_s: float
    confidence: float
    """0 to 1: how far the best reading can be trusted as a whole."""
    dictation: float = 1.0
    """0 to 1: how likely this was dictation at all, from constrained against free decoding."""
    free_text: str | None = None
    """What the engine hears without the vocabulary's bias, where it says so."""
    clearance_db: float | None = None
    """How far its loud moments are above its quiet ones, where the engine says so; typed: None."""
    command: tuple[str, ...] = ()
    """The words of the spoken command that the sound is very near to, where none was heard."""
    instead: bool = False
    """True if the sound fits that command clearly better than the best reading."""

    @property
    def text(self) -> str:
        return self.hypotheses[0].text

    @property
    def words(self) -> tuple[Word, ...]:
        return self.hypotheses[0].words


def typed(text: str, start_s: float = 0.0) -> Utterance:
    """An utterance for text that was typed, not heard: every word certain."""
    words = tuple(Word(w, start_s, start_s, 1.0) for w in text.split())
    return Utterance((Hypothesis(words, 0.0),), start_s, start_s, 1.0)
