"""The synthetic speakers: who they are, and on which side of the dev/eval wall they stand."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Literal

from pydantic import BaseModel, ConfigDict, ValidationError

from dictate.bench.problems import BenchError

Split = Literal["dev", "eval"]
Family = Literal["espeak", "flite", "piper", "festival", "kokoro"]
Character = Literal["neural", "natural", "robotic"]


class Voice(BaseModel):
    """One speaker of one synthesiser."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    id: str
    family: Family
    split: Split
    """A whole family stands on one side, so that nothing is tuned on a voice it is judged by."""
    accent: Literal["us", "gb"]
    character: Character
    """neural; natural (recorded speech, statistically modelled); robotic (diphones, formants)."""
    speaker: tuple[str, ...]
    """The synthesiser's own voice name; several are averaged into one further speaker."""
    pitch: int = 50
    """espeak only: 0 to 99."""
    pace: float = 1.0
    """Length of a sentence against the synthesiser's usual, above 1 slower."""


class VoiceFile(BaseModel):
    """`recordings_synthetic/voices.toml`."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    voice: tuple[Voice, ...]
    say: dict[Family, dict[str, str]] = {}
    """By family: words it mispronounces, and a respelling that it reads as a clinician does."""

    def say_for(self, voice: Voice) -> dict[str, str]:
        """The respellings for that voice."""
        return self.say.get(voice.family, {})

    def of(self, split: Split) -> tuple[Voice, ...]:
        """The speakers of one side, in the file's order."""
        return tuple(voice for voice in self.voice if voice.split == split)

    def named(self, voice_id: str) -> Voice:
        """The speaker of that id; BenchError when there is none."""
        for voice in self.voice:
            if voice.id == voice_id:
                return voice
        known = ", ".join(voice.id for voice in self.voice)
        raise BenchError(f"no voice is called {voice_id!r}; choose from: {known}")


def load_voices(path: Path) -> VoiceFile:
    """Read the speakers; BenchError when the file is missing or wrong."""
    try:
        return VoiceFile.model_validate(tomllib.loads(path.read_text(encoding="utf-8")))
    except OSError as error:
        raise BenchError(
            f"cannot read {path}: {error.strerror}; run from a checkout of the project"
            " or give --recordings"
        ) from error
    except (tomllib.TOMLDecodeError, ValidationError) as error:
        raise BenchError(f"{path} is not a valid voice file: {error}") from error
