"""A classical recogniser to compare with: PocketSphinx and a trigram of the trade's sentences."""

from __future__ import annotations

import tempfile
from collections.abc import Iterable, Sequence
from itertools import islice
from pathlib import Path
from typing import Any

import numpy as np

from dictate.audio.source import RATE, Samples
from dictate.bench.arpabet import pronunciations
from dictate.bench.problems import BenchError
from dictate.speech.heard import Hypothesis, Utterance, Word
from dictate.vocabulary.schema import Lexicon
from dictate.vocabulary.sentences import sentences

_BEST = 10
SENTENCES = 20_000
"""Generated sentences that the trigram is counted over."""


class PocketSphinx:
    """Behind the recogniser port; the words are the lexicon's, their order a trigram's.

    Words that its dictionary lacks get espeak-ng's pronunciation. Raises BenchError when
    PocketSphinx is not installed.
    """

    name = "pocketsphinx"

    def __init__(self, lexicon: Lexicon, spoken: Iterable[Sequence[str]] | None = None) -> None:
        try:
            from pocketsphinx import Decoder, get_model_path
        except ImportError as error:
            raise BenchError("PocketSphinx is missing; run: pip install pocketsphinx") from error
        model = Path(get_model_path()) / "en-us"
        spoken = list(generated(lexicon) if spoken is None else spoken)
        with tempfile.TemporaryDirectory() as folder:
            dictionary, trigram = Path(folder) / "words.dict", Path(folder) / "trigram.arpa"
            _write_dictionary(dictionary, spoken, model / "cmudict-en-us.dict")
            _write_trigram(trigram, spoken)
            self._decoder: Any = Decoder(
                hmm=str(model / "en-us"), dict=str(dictionary), lm=str(trigram), loglevel="FATAL"
            )
        self.begin(0.0)

    def begin(self, start_s: float) -> None:
        self._start_s = start_s
        self._chunks: list[Samples] = []

    def hear(self, samples: Samples) -> None:
        self._chunks.append(samples)

    def partial(self) -> str:
        return ""

    def finish(self) -> Utterance | None:
        sound = np.concatenate(self._chunks) if self._chunks else np.zeros(0, np.int16)
        if not len(sound):
            return None
        self._decoder.start_utt()
        self._decoder.process_raw(sound.tobytes(), full_utt=True)
        self._decoder.end_utt()
        readings = tuple(self._readings(len(sound) / RATE))
        self._chunks = []
        if not readings or not readings[0].words:
            return None
        end_s = self._start_s + len(sound) / RATE
        trust = min(word.confidence for word in readings[0].words)
        return Utterance(readings, self._start_s, end_s, trust)

    def close(self) -> None:
        self.begin(0.0)

    def _readings(self, seconds: float) -> Iterable[Hypothesis]:
        best = self._decoder.hyp()
        if best is None:
            return
        math = self._decoder.get_logmath()
        words = tuple(
            Word(
                _bare(each.word),
                self._start_s + each.start_frame / 100,
                self._start_s + each.end_frame / 100,
                min(1.0, math.exp(each.prob)),
            )
            for each in self._decoder.seg()
            if each.word[0] not in "<["
        )
        yield Hypothesis(words, float(best.score))
        seen = {tuple(word.text for word in words)}
        for other in islice(self._decoder.nbest(), _BEST):
            if other is None:
                continue
            texts = tuple(_bare(w) for w in other.hypstr.split() if w[0] not in "<[")
            if texts and texts not in seen:
                seen.add(texts)
                end_s = self._start_s + seconds
                guessed = tuple(Word(text, self._start_s, end_s, 0.5) for text in texts)
                yield Hypothesis(guessed, float(other.score))


def generated(lexicon: Lexicon) -> list[tuple[str, ...]]:
    """Sentences of the trade, by the generator that the packaged engine learns from."""
    return [tagged.words for tagged in sentences(lexicon, seed=7, count=SENTENCES)]


def _bare(word: str) -> str:
    """The word without the number of its pronunciation ("a(2)")."""
    return word.split("(", 1)[0]


def _write_dictionary(path: Path, sentences: list[Sequence[str]], known_path: Path) -> None:
    wanted = {word for sentence in sentences for word in sentence}
    lines = []
    for line in known_path.read_text(encoding="utf-8").splitlines():
        name, sounds = line.split(" ", 1)
        if _bare(name) in wanted:
            lines.append(f"{name} {sounds}")
    missing = sorted(wanted - {_bare(line.split(" ", 1)[0]) for line in lines})
    lines += [f"{word} {sounds}" for word, sounds in pronunciations(missing).items() if sounds]
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")


def _write_trigram(path: Path, sentences: list[Sequence[str]]) -> None:
    from pocketsphinx.lm import ArpaBoLM  # type: ignore[import-untyped]

    text = "\n".join(f"<s> {' '.join(sentence)} </s>" for sentence in sentences)
    model = ArpaBoLM(text=text)
    model.compute()
    model.write_file(str(path))
