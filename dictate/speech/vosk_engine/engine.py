"""The Vosk engine behind the recogniser port."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np

from dictate.audio.level import clearance_db
from dictate.audio.source import RATE, Samples
from dictate.errors import EngineError
from dictate.speech.heard import Utterance
from dictate.speech.vosk_engine.phrases import spoken_phrases
from dictate.speech.vosk_engine.process import VoskProcess
from dictate.speech.vosk_engine.results import utterance
from dictate.vocabulary.schema import Lexicon


class VoskRecogniser:
    """A Vosk model held to the words of the lexicon.

    Raises EngineError when the model is missing or damaged. If the library crashes or hangs
    later, it is started afresh and hears the utterance again; EngineError is raised only when
    it fails once more, and the next `begin` then tries anew.
    """

    name = "vosk"

    def __init__(
        self,
        lexicon: Lexicon,
        model_dir: Path,
        phrases: Iterable[Sequence[str]] | None = None,
    ) -> None:
        """Load the model. `phrases` (lists of words) replace those made from the lexicon."""
        self.model = model_dir.name
        self._folder = model_dir
        self._phrases = list(spoken_phrases(lexicon) if phrases is None else phrases)
        self._process: VoskProcess | None = None
        self._start_s = 0.0
        self._heard: list[bytes] = []
        started = self._started()
        self.missing_words = started.loaded.missing_words
        """Words of the vocabulary that this model can never hear."""
        self.held_to_vocabulary = started.layout.takes_grammar
        """False for a model with a fixed graph: it hears any word, and the trade's worse."""
        self.rejects_other_talk = started.loaded.rejects
        """False where talk outside the vocabulary comes out as words of it."""

    @property
    def warnings(self) -> tuple[str, ...]:
        """What whoever relies on this model must know, one line each; empty at best."""
        found = []
        if self.missing_words:
            some = ", ".join(self.missing_words[:8])
            found.append(
                f"{self.model} cannot hear {len(self.missing_words)} of the vocabulary's words "
                f"({some}{', ...' if len(self.missing_words) > 8 else ''})"
            )
        if not self.held_to_vocabulary:
            found.append(f"{self.model} has a fixed graph and cannot be held to the vocabulary")
        elif not self.rejects_other_talk:
            found.append(f"{self.model} hears talk outside the vocabulary as words of it")
        return tuple(found)

    def begin(self, start_s: float) -> None:
        """Start an utterance; one that was not finished is forgotten."""
        self._start_s = start_s
        self._heard = []
        self._ask("begin")

    def hear(self, samples: Samples) -> None:
        sound = np.ascontiguousarray(samples, "<i2").tobytes()
        self._ask("hear", sound)
        self._heard.append(sound)

    def partial(self) -> str:
        return str(self._ask("partial")["text"])

    def finish(self) -> Utterance | None:
        answer = self._ask("finish")
        sound = np.frombuffer(b"".join(self._heard), "<i2")
        self._heard = []
        found = utterance(answer, self._start_s, self._start_s + len(sound) / RATE)
        return replace(found, clearance_db=clearance_db(sound)) if found is not None else None

    def close(self) -> None:
        if self._process is not None:
            self._process.close()
            self._process = None

    def _started(self) -> VoskProcess:
        """The process; a new one has heard what there is of the utterance."""
        if self._process is None:
            process = VoskProcess(self._folder, self._phrases)
            if self._heard:
                process.ask("hear", b"".join(self._heard))
            self._process = process
        return self._process

    def _ask(self, do: str, sound: bytes = b"") -> dict[str, Any]:
        try:
            return self._started().ask(do, sound)
        except EngineError:
            self._process = None
        try:
            return self._started().ask(do, sound)
        except EngineError:
            self._process = None
            raise
