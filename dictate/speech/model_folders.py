"""Where speech models lie, and which engine each is for; nothing is loaded to find out."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from platformdirs import user_data_path

from dictate.speech.packaged import model_files
from dictate.speech.vosk_engine.model_check import looks_like_model

PACKAGED = "packaged"
VOSK = "vosk"
ENGINES = (PACKAGED, VOSK)
_LANGUAGE = re.compile(r"vosk-model(?:-small)?-([a-z]{2,3}(?:-[a-z]{2})?)\b", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class ModelFolder:
    """A folder that is meant to be a speech model, whole or not."""

    path: Path
    engine: str
    """`PACKAGED` or `VOSK`."""

    @property
    def name(self) -> str:
        return self.path.name

    @property
    def language(self) -> str:
        """A language code ("en", "en-us"); "?" where the folder's name does not tell."""
        if self.engine == PACKAGED:
            return "en"
        found = _LANGUAGE.search(self.name)
        return found.group(1).lower() if found else "?"

    @property
    def size_bytes(self) -> int:
        return sum(file.stat().st_size for file in self.path.rglob("*") if file.is_file())


def user_folder() -> Path:
    """Where a person puts models of their own."""
    return user_data_path("dictate", appauthor=False) / "models"


def model_folders() -> tuple[Path, ...]:
    """Folders in which models are looked for: the repository's, then the user's."""
    return (Path(__file__).resolve().parents[2] / "models", user_folder())


def engine_of(path: Path) -> str | None:
    """The engine whose kind of model the folder holds; None when it holds none."""
    if not path.is_dir():
        return None
    if any(path.glob("encoder_model.*")) or (path / "tokenizer.bin").exists():
        return PACKAGED
    return VOSK if looks_like_model(path) else None


def find_models(extra: Path | None = None) -> tuple[ModelFolder, ...]:
    """Every model there is: the one given, those of the package, then Vosk models by name."""
    found = [*([extra] if extra else []), *model_files.installed_models(), *_in_folders()]
    engines = {path.resolve(): engine_of(path) for path in found}
    return tuple(ModelFolder(path, engine) for path, engine in engines.items() if engine)


def _in_folders() -> Iterator[Path]:
    for folder in model_folders():
        if folder.is_dir():
            yield from sorted(path for path in folder.iterdir() if path.is_dir())
