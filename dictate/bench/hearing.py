"""One clip through one engine and the matcher, and what came of it."""

from __future__ import annotations

import time
from dataclasses import dataclass, replace

import numpy as np

from dictate.audio.source import RATE, Samples
from dictate.bench.engines import open_engine
from dictate.bench.explain import differences
from dictate.bench.outcome import Outcome, outcome_of
from dictate.bench.scoring import Score, score
from dictate.bench.sentences import Sentence
from dictate.bench.slots import Places
from dictate.bench.synthesis import Wave
from dictate.bench.words import plain
from dictate.exam.finding import FindingFields
from dictate.exam.session import Session
from dictate.matching.matcher import Matcher
from dictate.matching.reading import Context, Reading
from dictate.pipeline.examination import now
from dictate.speech.heard import Hypothesis, Utterance, Word
from dictate.vocabulary.schema import Lexicon, Spelling

MID_EXAM = Context(
    region="tongue",
    subsite="lateral border",
    side="left",
    last=FindingFields(
        region="tongue", subsite="lateral border", side="left", kind="ulcer", size_mm=(12.0,)
    ),
)
"""Where everyday talk is heard: in the midst of an examination, when it can do most harm."""


@dataclass(frozen=True, slots=True)
class Heard:
    """One clip, judged."""

    sentence: str
    voice: str
    condition: str
    reference: str
    """What was said, in plain words."""
    text: str
    """What was heard, in plain words: of several readings the one that the matcher took."""
    score: Score
    engine_s: float
    engine_cpu_s: float
    """Of the processor's time, every thread counted: other programs do not disturb it."""
    matcher_s: float
    sound_s: float
    differences: tuple[str, ...] = ()
    """What did not come out as meant, in words; of the evaluation they are never shown."""


class Reader:
    """The matcher, as an examination uses it."""

    def __init__(self, lexicon: Lexicon) -> None:
        self.matcher = Matcher(lexicon)
        self.lexicon = lexicon
        self.places = Places(lexicon)
        self._protocol = Session.start("bench", lexicon, now()).protocol

    def act(self, utterance: Utterance | None, context: Context) -> Outcome:
        """What the utterance does in that context."""
        return self.done(self.read(utterance, context), context)

    def read(self, utterance: Utterance | None, context: Context) -> Reading | None:
        """What the matcher makes of it; None where nothing was heard."""
        return self.matcher.read(utterance, context) if utterance else None

    def done(self, reading: Reading | None, context: Context) -> Outcome:
        """What a reading does in that context."""
        return outcome_of(reading, context, self._protocol)


class Chain(Reader):
    """An engine and the matcher, as an examination joins them."""

    def __init__(self, engine: str, lexicon: Lexicon) -> None:
        super().__init__(lexicon)
        self.name = engine
        self.recogniser = open_engine(engine, lexicon)
        self._spells_itself_out = not engine.startswith("raw")

    def listen(self, samples: Wave) -> Utterance | None:
        """The utterance in a clip; None when nothing was heard."""
        self.recogniser.begin(0.0)
        self.recogniser.hear(as_int16(samples))
        return self.tidy(self.recogniser.finish())

    def tidy(self, utterance: Utterance | None) -> Utterance | None:
        """Without bias a model writes digits and punctuation: spelt out, as the matcher reads."""
        if utterance is None or self._spells_itself_out:
            return utterance
        return spelt_out(utterance, self.lexicon.spelling)

    def judge(self, sentence: Sentence, voice: str, condition: str, samples: Wave) -> Heard:
        """Hear a clip of the sentence and score what it did."""
        began, began_cpu = time.perf_counter(), time.process_time()
        utterance = self.listen(samples)
        engine_s, engine_cpu_s = time.perf_counter() - began, time.process_time() - began_cpu
        heard = judged(self, sentence, utterance)
        sound_s = len(samples) / RATE
        return replace(
            heard,
            voice=voice,
            condition=condition,
            engine_s=engine_s,
            engine_cpu_s=engine_cpu_s,
            sound_s=sound_s,
        )


def judged(reader: Reader, sentence: Sentence, utterance: Utterance | None) -> Heard:
    """Score what the utterance did; the parts that belong to sound are left open."""
    began = time.perf_counter()
    context = MID_EXAM if sentence.kind == "offtalk" else sentence.where.context()
    reading = reader.read(utterance, context)
    matcher_s = time.perf_counter() - began
    outcome = reader.done(reading, context)
    spelling = reader.lexicon.spelling
    return Heard(
        sentence=sentence.id,
        voice="",
        condition="",
        reference=plain(sentence.say, spelling),
        text=plain(reading.text, spelling) if reading else "",
        score=score(sentence, outcome, reader.places),
        engine_s=0.0,
        engine_cpu_s=0.0,
        matcher_s=matcher_s,
        sound_s=0.0,
        differences=tuple(differences(sentence, outcome, reader.places)),
    )


def spelt_out(utterance: Utterance, spelling: Spelling) -> Utterance:
    """The same utterance with its readings in plain words."""
    return replace(
        utterance,
        hypotheses=tuple(
            Hypothesis(
                tuple(
                    Word(text, word.start_s, word.end_s, word.confidence)
                    for word in reading.words
                    for text in plain(word.text, spelling).split()
                ),
                reading.score,
            )
            for reading in utterance.hypotheses
        ),
    )


def as_int16(samples: Wave) -> Samples:
    return np.asarray(np.clip(samples, -1, 1) * 32767, dtype=np.int16)
