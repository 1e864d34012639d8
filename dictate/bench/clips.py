"""Spoken sentences, synthesised when first wanted and kept in a cache folder."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import soundfile

from dictate.audio.source import RATE
from dictate.bench.sentences import Sentence
from dictate.bench.synthesis import Wave, respelt, synthesise
from dictate.bench.voices import Voice, VoiceFile

_VERSION = "1"
"""Part of each clip's name: raise it when the way of synthesising changes."""
SLOWEST, FASTEST = 1.12, 0.92
LEAD_S, TAIL_S = 0.35, 0.5
"""Silence around the speech of a clip, as an endpointer would leave it."""


@dataclass(frozen=True, slots=True)
class Clip:
    """One sentence by one voice; speech lies from LEAD_S to the clip's end less TAIL_S."""

    sentence: Sentence
    voice: Voice
    samples: Wave

    @property
    def seconds(self) -> float:
        return len(self.samples) / RATE


def pace_of(sentence_id: str, voice_id: str) -> float:
    """How fast this voice speaks this sentence: people vary; the same for ever."""
    digest = hashlib.sha256(f"{sentence_id}/{voice_id}".encode()).digest()
    return FASTEST + (SLOWEST - FASTEST) * digest[0] / 255


def spoken(sentence: Sentence, voice: Voice, voices: VoiceFile, cache: Path) -> Clip:
    """The sentence by that voice with silence around it, as an endpointer would leave it.

    Raises BenchError when the voice's synthesiser is missing.
    """
    return Clip(sentence, voice, _padded(speech(sentence, voice, voices, cache)))


def speech(sentence: Sentence, voice: Voice, voices: VoiceFile, cache: Path) -> Wave:
    """The bare speech of the sentence by that voice, from the cache or made now."""
    pace = pace_of(sentence.id, voice.id)
    respell = voices.say_for(voice)
    written = respelt(sentence.say, respell)
    key = repr((_VERSION, voice.model_dump(exclude={"split"}), written, f"{pace:.3f}"))
    name = hashlib.sha256(key.encode()).hexdigest()[:24]
    path = cache / "clips" / voice.id / f"{name}.flac"
    if not path.is_file():
        path.parent.mkdir(parents=True, exist_ok=True)
        part = path.with_suffix(".part.flac")
        soundfile.write(str(part), synthesise(sentence.say, voice, pace, respell), RATE)
        part.replace(path)
    samples, _ = soundfile.read(str(path), dtype="float32")
    return np.asarray(samples, dtype=np.float32)


def assigned(
    sentences: tuple[Sentence, ...], voices: tuple[Voice, ...]
) -> list[tuple[Sentence, Voice]]:
    """Who speaks what: each sentence once by a neural voice and once by another kind.

    The voices take turns, and one of the sentence's own accent is taken where there is one.
    """
    neural = [v for v in voices if v.character == "neural"]
    others = [v for v in voices if v.character != "neural"]
    pairs = []
    for number, sentence in enumerate(sentences):
        for group in (neural, others):
            fitting = [v for v in group if v.accent == sentence.accent] or group
            if fitting:
                pairs.append((sentence, fitting[number // 2 % len(fitting)]))
    return pairs


def _padded(samples: Wave) -> Wave:
    silence = np.zeros(int(LEAD_S * RATE), np.float32)
    tail = np.zeros(int(TAIL_S * RATE), np.float32)
    return np.concatenate([silence, samples, tail])
