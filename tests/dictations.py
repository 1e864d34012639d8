"""Dictations as clinicians of several habits would say them, and what was made of each.

The files in `tests/data` were written before the matcher was tried on them. They have the form
of `dev_sentences.toml`, and besides: `ask`, fields that must be asked about because the words
leave them open; `inspected`, regions of which only a part, or less than health, was pronounced.
Truths are common practice, no source.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from dictate.bench.hearing import MID_EXAM, Reader
from dictate.bench.outcome import Outcome, outcome_of
from dictate.bench.scoring import Score, score
from dictate.bench.sentences import Marked, Order, Sentence, Where
from dictate.exam.commands import MarkRegion
from dictate.exam.finding import FindingFields
from dictate.exam.session import Session
from dictate.matching.reading import Reading
from dictate.pipeline.examination import now
from dictate.speech.heard import typed
from dictate.vocabulary.loader import load

DATA = Path(__file__).parent / "data"
LEXICON = load()
READER = Reader(LEXICON)
PROTOCOL = Session.start("dictations", LEXICON, now()).protocol


@dataclass(frozen=True, slots=True)
class Dictation:
    """One sentence and its truth."""

    sentence: Sentence
    ask: frozenset[str] = frozenset()
    inspected: tuple[Marked, ...] = ()

    @property
    def id(self) -> str:
        return self.sentence.id


@dataclass(slots=True)
class Made:
    """What the matcher made of a dictation."""

    reading: Reading
    outcome: Outcome
    score: Score
    asked: frozenset[str] = field(default_factory=frozenset)

    @property
    def inspected(self) -> set[tuple[str, str | None]]:
        """Regions and sides that count as looked at or felt, and no more."""
        return {
            (each.region, each.side)
            for each in self.reading.commands
            if isinstance(each, MarkRegion) and each.state in ("inspected", "palpated")
        }


def dictations(name: str) -> list[Dictation]:
    """The dictations of a file in `tests/data`."""
    entries = tomllib.loads((DATA / name).read_text(encoding="utf-8"))["sentence"]
    return [_dictation(each) for each in entries]


def made(dictation: Dictation) -> Made:
    """The reading of a dictation as typed text, judged against its truth."""
    sentence = dictation.sentence
    talk = sentence.kind == "offtalk" and sentence.where == Where()
    context = MID_EXAM if talk else sentence.where.context()
    reading = READER.matcher.read(typed(sentence.say), context)
    outcome = outcome_of(reading, context, PROTOCOL)
    asked = frozenset().union(*(each.doubted for each in outcome.findings))
    if any(doubted for _, doubted in outcome.normal):
        asked |= {"region", "side"}
    return Made(reading, outcome, score(sentence, outcome, READER.places), asked)


def together(all_made: list[Made]) -> Score:
    """Their scores added up."""
    total = Score()
    for each in all_made:
        total.merge(each.score)
    return total


def _dictation(entry: dict[str, Any]) -> Dictation:
    sentence = Sentence.model_construct(
        id=entry["id"],
        kind=entry["kind"],
        accent=entry["accent"],
        say=entry["say"],
        where=Where.model_validate(entry.get("where", {})),
        findings=tuple(map(FindingFields.model_validate, entry.get("findings", ()))),
        normal=tuple(map(Marked.model_validate, entry.get("normal", ()))),
        not_examined=tuple(map(Marked.model_validate, entry.get("not_examined", ()))),
        commands=tuple(map(Order.model_validate, entry.get("commands", ()))),
    )
    inspected = tuple(map(Marked.model_validate, entry.get("inspected", ())))
    return Dictation(sentence, frozenset(entry.get("ask", ())), inspected)
