"""The dictations and what each of them means: ground truth written by hand, checked on loading."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError, model_validator

from dictate.bench.problems import BenchError
from dictate.bench.voices import Split
from dictate.exam.finding import FieldValue, FindingFields, Side
from dictate.matching.reading import Context

Kind = Literal["finding", "detail", "normal", "command", "offtalk"]
CommandName = Literal[
    "undo", "redo", "delete", "correct", "next_region", "previous_region", "go_to", "pause",
    "resume", "review", "confirm", "reject", "save", "skip", "repeat", "help", "not_for_record",
]  # fmt: skip


class _Strict(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class Where(_Strict):
    """Where the examination stands when a sentence is spoken."""

    region: str | None = None
    subsite: str | None = None
    side: str | None = None
    last: FindingFields | None = None
    reviewing: bool = False
    paused: bool = False

    def context(self) -> Context:
        """The same as the matcher takes it."""
        return Context(
            self.region,
            self.subsite,
            self.side,
            self.last,
            self.reviewing,
            self.paused,
            gone_to=self.region is not None and self.last is None,
        )


class Marked(_Strict):
    """A region pronounced healthy, or left out for a reason."""

    region: str
    side: Side | None = None
    reason: str | None = None


class Order(_Strict):
    """A command that must be obeyed."""

    do: CommandName
    region: str | None = None
    field: str | None = None
    value: FieldValue = None


class Sentence(_Strict):
    """One utterance, as spoken, and what a clinician means by it."""

    id: str
    kind: Kind
    accent: Literal["us", "gb"]
    say: str = Field(min_length=1)
    where: Where = Where()
    findings: tuple[FindingFields, ...] = ()
    """Each finding as it stands afterwards (a detail: the last one with the detail added)."""
    normal: tuple[Marked, ...] = ()
    not_examined: tuple[Marked, ...] = ()
    commands: tuple[Order, ...] = ()

    @model_validator(mode="after")
    def _means_something(self) -> Sentence:
        meant = bool(self.findings or self.normal or self.not_examined or self.commands)
        if meant == (self.kind == "offtalk"):
            raise ValueError(f"{self.id}: only off-talk means nothing for the record")
        return self


class SentenceFile(_Strict):
    """`recordings_synthetic/{dev,eval}_sentences.toml`."""

    split: Split
    sentence: tuple[Sentence, ...]


def load_sentences(path: Path) -> tuple[Sentence, ...]:
    """The sentences of one split; BenchError when the file is missing or wrong."""
    try:
        file = SentenceFile.model_validate(tomllib.loads(path.read_text(encoding="utf-8")))
    except OSError as error:
        raise BenchError(
            f"cannot read {path}: {error.strerror}; run from a checkout of the project"
            " or give --recordings"
        ) from error
    except (tomllib.TOMLDecodeError, ValidationError) as error:
        raise BenchError(f"{path} is not a valid sentence file: {error}") from error
    return file.sentence
