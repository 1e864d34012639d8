"""The documents' own tables, from the vocabulary folder."""

from __future__ import annotations

from functools import lru_cache
from typing import Any, TypeVar

from pydantic import BaseModel, ConfigDict, ValidationError

from dictate.errors import VocabularyError
from dictate.vocabulary.files import read_toml
from dictate.vocabulary.loader import default_folder


class Row(BaseModel):
    """Base of the shapes that the tables have."""

    model_config = ConfigDict(extra="forbid", frozen=True)


Shape = TypeVar("Shape", bound=Row)


def table(name: str, shape: type[Shape]) -> Shape:
    """The file of that name in its shape. Raises VocabularyError naming file and entry."""
    raw = _read(name)
    try:
        return shape.model_validate(raw)
    except ValidationError as error:
        first = error.errors(include_url=False)[0]
        where = ".".join(str(step) for step in first["loc"]) or "file"
        raise VocabularyError(f"{name}: {where}: {' '.join(first['msg'].split())}") from None


@lru_cache(maxsize=8)
def _read(name: str) -> dict[str, Any]:
    return read_toml(default_folder() / name, name)
