"""The packaged engine behind the recogniser port."""

from __future__ import annotations

from collections.abc import Iterable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from pathlib import Path

import numpy as np

from dictate.audio.level import clearance_db, measure
from dictate.audio.source import RATE, Samples
from dictate.speech.heard import Utterance
from dictate.speech.packaged.corpus import from_tagged
from dictate.speech.packaged.decoder import BeamDecoder
from dictate.speech.packaged.expansion import Expansion
from dictate.speech.packaged.free import read_freely
from dictate.speech.packaged.kept_ngram import kept_ngram
from dictate.speech.packaged.language import build_language, learn
from dictate.speech.packaged.letters import heard_letters
from dictate.speech.packaged.model_files import find_model
from dictate.speech.packaged.nearest import NearestCommand
from dictate.speech.packaged.network import THREADS, Network
from dictate.speech.packaged.pieces import joined, pieces
from dictate.speech.packaged.readings import freely, utterance, voiced_span
from dictate.speech.packaged.tokens import read_tokenizer
from dictate.speech.packaged.unknown import UnknownWords
from dictate.speech.packaged.weights import Weights, read_weights
from dictate.uncollected import uncollected
from dictate.vocabulary.schema import Lexicon
from dictate.vocabulary.sentences import Tagged

QUIETEST_DB = -66.0
"""Peak level below which there is no voice; the model makes up a "you" of pure silence."""


class PackagedRecogniser:
    """English by the packaged neural model, held to the words of the lexicon.

    `model_dir` is the folder of another model with the same layout. Without `bias` the
    model's own reading is all there is. Raises EngineError when a model does not load.
    """

    name = "packaged"

    @uncollected(stays=True)
    def __init__(
        self,
        lexicon: Lexicon,
        model_dir: Path | None = None,
        bias: bool = True,
        weights: Weights | None = None,
        sentences: Iterable[Tagged] | None = None,
        threads: int = THREADS,
    ) -> None:
        files = find_model(model_dir)
        self.model = files.name
        self._weights = weights or read_weights(files.folder)
        with ThreadPoolExecutor(1) as loader:  # the model loads while the vocabulary is built
            network = loader.submit(Network, files, threads, self._weights.pace)
            self._tokenizer = read_tokenizer(files.tokenizer)
            self._decoder = self._held_to(lexicon, sentences) if bias else None
            self._commands = self._commands_of(lexicon) if bias else None
            self._network = network.result()
        self.begin(0.0)

    def begin(self, start_s: float) -> None:
        self._start_s = start_s
        self._chunks: list[Samples] = []
        self._guess: list[int] = []
        self._ready: Utterance | None = None
        self._is_ready = False

    def hear(self, samples: Samples) -> None:
        self._chunks.append(samples)
        self._is_ready = False

    def partial(self) -> str:
        sound = self._sound()
        encoded, longest = self._network.listen(sound), self._longest(sound)
        if self._decoder is None:
            return self._tokenizer.text(read_freely(encoded, longest).tokens)
        glance = self._decoder.glance(encoded, self._guess, longest)
        self._guess = glance.tokens
        return " ".join(glance.words)

    def prepare(self) -> str:
        """Read what was heard as if it were all; `finish` then costs nothing more."""
        if not self._is_ready:
            self._ready = self._read()
            self._is_ready = True
        return self._ready.text if self._ready else ""

    def finish(self) -> Utterance | None:
        self.prepare()
        ready = self._ready
        self.begin(self._start_s)
        return ready

    def close(self) -> None:
        self.begin(0.0)

    def _held_to(self, lexicon: Lexicon, sentences: Iterable[Tagged] | None) -> BeamDecoder:
        if sentences is None:
            ngram = kept_ngram(lexicon)
        else:
            ngram = learn(lexicon, from_tagged(sentences, lexicon))
        language = build_language(lexicon, ngram, self._tokenizer)
        language.trie.warm()
        unknown = UnknownWords(self._tokenizer.pieces)
        expansion = Expansion(language.trie, language.outlook, unknown, self._weights)
        return BeamDecoder(expansion, self._tokenizer, self._weights)

    def _commands_of(self, lexicon: Lexicon) -> NearestCommand | None:
        weights = self._weights
        if weights.command is None:
            return None
        return NearestCommand(lexicon, self._tokenizer, weights, weights.command)

    def _read(self) -> Utterance | None:
        parts: list[Utterance] = []
        start_s = self._start_s
        for piece in pieces(self._sound()):
            heard = self._read_at_once(piece, start_s)
            if heard is not None:
                parts.append(heard)
            start_s += len(piece) / RATE
        return joined(parts) if parts else None

    def _read_at_once(self, sound: Samples, start_s: float) -> Utterance | None:
        if measure(sound).peak_db < QUIETEST_DB:
            return None
        encoded, longest = self._network.listen(sound), self._longest(sound)
        span = voiced_span(sound, start_s)
        if self._decoder is None:
            return freely(read_freely(encoded, longest), self._tokenizer, span)
        decoded = self._decoder.decode(encoded, longest)
        letters = heard_letters(self._network, encoded.states)
        heard = utterance(decoded, self._tokenizer, span, self._weights, letters)
        if heard is None:
            return None
        heard = replace(heard, clearance_db=clearance_db(sound))
        if self._commands is None:
            return heard
        words = tuple(heard.text.lower().split())
        near = self._commands.find(encoded, decoded.free, words, letters)
        if near is None:
            return heard
        return replace(heard, command=near.words, instead=near.instead)

    def _sound(self) -> Samples:
        if len(self._chunks) > 1:
            self._chunks = [np.concatenate(self._chunks)]
        return self._chunks[0] if self._chunks else np.zeros(0, np.int16)

    def _longest(self, sound: Samples) -> int:
        return int(len(sound) / RATE * self._weights.tokens_per_second) + 4
