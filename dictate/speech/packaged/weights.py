"""How the search weighs what it knows. A model that needs other weights brings its own."""

from __future__ import annotations

import tomllib
from pathlib import Path

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from dictate.errors import EngineError

FILE = "bias.toml"


class Weights(BaseModel):
    """Weights of one model; the defaults suit the model as its wheel ships it."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    beam: int = Field(default=8, ge=1, le=64)
    """Readings kept at each step."""
    width: float = Field(default=8.0, gt=0)
    """A reading this far below the best is given up, which saves time where all is clear."""
    language: float = Field(default=0.5, ge=0)
    """Weight of the n-gram's log probability against the network's."""
    word_bonus: float = 1.0
    """Added for each word, against the shortness that log probabilities favour."""
    unknown: float | None = Field(default=None, ge=0)
    """Taken off for each word outside the vocabulary; None: every word must be inside."""
    gap: float = Field(default=0.4, ge=0)
    """Taken off for each letter that a reading has more or fewer than the free one."""
    shortfall: float = Field(default=0.5, ge=0)
    """Taken off besides for each letter below 85 % of the free reading: words were dropped."""
    margin: float = Field(default=3.0, ge=0)
    """A finished reading this much ahead of all that still run ends the search."""
    pace: float = Field(default=1.0, gt=0.5, le=1.5)
    """Speed at which the network is given sound without much noise; below 1 it has more time.
    Words in shorter sound than 1.5 s are given at their own."""
    tokens_per_second: float = Field(default=7.0, gt=0)
    """More tokens than this is a loop, not speech."""
    dictation: tuple[float, float, float, float] = (12.0, 4.3, 1.46, 5.7)
    """Of the logit that an utterance is dictation: constant; log probability lost to the
    vocabulary, a token; n-gram's log probability, a word; share of letters missing (negative).
    """
    apart: tuple[float, float] | None = None
    """Likeness (0 to 100) of the held to the free reading below which several words are talk, and
    below which they may be; None for a model whose free reading is itself mostly wrong."""
    command: tuple[float, float] | None = None
    """Log probability that a bare command may lack against the free reading: constant, and for
    each token of that reading; None: commands are not looked for apart."""
    command_most: float = Field(default=10.0, ge=0)
    """What it may lack at most, however long the free reading is: talk is long."""
    command_letters: float = Field(default=0.0, ge=0)
    """Of what it lacks, the share of what it lacks in the second hearing (`letters.py`)."""
    command_margin: float = Field(default=1.5, ge=0)
    """What it must be ahead of the phrases of any other command."""
    letters: tuple[float, float] | None = None
    """Of the second hearing (`letters.py`): its log probability's weight in the score of a reading,
    and, of the logit that a word is right, the factor of what a letter of it lacks."""
    confidence: tuple[float, float, float, float] = (2.7, 1.4, 0.14, 0.43)
    """Of the logit that a word is right: constant; log of the share of readings that agree;
    network's log probability of the word; score of the whole reading, a word.
    """


def read_weights(folder: Path) -> Weights:
    """Weights stored beside a model in `bias.toml`; the defaults when it has none.

    Raises EngineError when the file is not right.
    """
    path = folder / FILE
    if not path.is_file():
        return Weights()
    try:
        return Weights.model_validate(tomllib.loads(path.read_text(encoding="utf-8")))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError, OSError) as error:
        raise EngineError(f"{path}: cannot be read ({error}); correct or delete it") from error
    except ValidationError as error:
        first = error.errors()[0]
        field = ".".join(str(part) for part in first["loc"])
        raise EngineError(f"{path}: {field}: {first['msg']}; correct or delete it") from error
