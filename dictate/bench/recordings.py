"""The recordings that ship with the project: which sentences, by whom, in which file."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from dictate.bench.problems import BenchError
from dictate.bench.sentences import Marked, Order
from dictate.bench.voices import Split
from dictate.exam.finding import FindingFields


class _Strict(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class Recording(_Strict):
    """What `recordings.toml` asks for: sentences by id, spoken in one breath apart."""

    name: str
    voice: str
    sentences: tuple[str, ...] = Field(min_length=1)
    pause_s: float = 1.3
    """Silence between two sentences."""
    findings: tuple[FindingFields, ...] | None = None
    """What is on record in the end, where a correction makes it differ from what was said."""


class Spoken(_Strict):
    """One utterance within a recording; times in seconds from its start."""

    sentence: str
    kind: str
    text: str
    start_s: float
    end_s: float


class ManifestEntry(_Strict):
    """One shipped file and everything that it says."""

    file: str
    split: Split
    voice: str
    family: str
    duration_s: float
    utterances: tuple[Spoken, ...]
    findings: tuple[FindingFields, ...]
    normal: tuple[Marked, ...] = ()
    not_examined: tuple[Marked, ...] = ()
    commands: tuple[Order, ...] = ()


class Manifest(_Strict):
    """`recordings_synthetic/manifest.json`."""

    recordings: tuple[ManifestEntry, ...]


def load_recordings(path: Path) -> tuple[Recording, ...]:
    """What to make; BenchError when the file is missing or wrong."""

    class File(_Strict):
        recording: tuple[Recording, ...]

    try:
        return File.model_validate(tomllib.loads(_text(path))).recording
    except (tomllib.TOMLDecodeError, ValidationError) as error:
        raise BenchError(f"{path} is not a valid list of recordings: {error}") from error


def load_manifest(path: Path) -> Manifest:
    """The ground truth of the shipped files; BenchError when it is missing or wrong."""
    try:
        return Manifest.model_validate_json(_text(path))
    except ValidationError as error:
        raise BenchError(f"{path} is not a valid manifest: {error}") from error


def compact(entry: ManifestEntry) -> dict[str, Any]:
    """An entry without what was not said, so that the manifest stays readable."""
    return entry.model_dump(mode="json", exclude_defaults=True)


def _text(path: Path) -> str:
    try:
        return path.read_text(encoding="utf-8")
    except OSError as error:
        raise BenchError(f"cannot read {path}: {error.strerror}; see recordings_synthetic") from (
            error
        )
