"""Where the packaged model lies: adapted to the trade if there, else as its wheel ships it."""

from __future__ import annotations

from dataclasses import dataclass
from importlib.util import find_spec
from pathlib import Path

from dictate.errors import EngineError

ADAPTED = "adapted-en"
_PACKAGE = "moonshine_voice"
_INSIDE_PACKAGE = Path("assets") / "tiny-en"
_ENCODER = "encoder_model"
_DECODER = "decoder_model_merged"
_FRONT = "front"
_MEND = "mend"
_LETTERS = "letters"
_SUFFIXES = (".ort", ".onnx")


@dataclass(frozen=True, slots=True)
class ModelFiles:
    """The files of a model, and the folder they share."""

    folder: Path
    encoder: Path
    decoder: Path
    tokenizer: Path
    front: Path | None
    """With `mend`, the networks that help in noise (`front.py`); a model may be without both."""
    mend: Path | None
    letters: Path | None = None
    """The second hearing (`letters.py`); a model may be without."""

    @property
    def name(self) -> str:
        return self.folder.name


def find_model(folder: Path | None = None) -> ModelFiles:
    """Files of the model in `folder`, else of the best model installed.

    Raises EngineError, naming what lacks, when there is none or it is incomplete.
    """
    if folder is not None:
        return _files_in(folder)
    for candidate in installed_models():
        return _files_in(candidate)
    raise EngineError(f"no speech model is installed; run: pip install {_PACKAGE}==0.1.0")


def installed_models() -> tuple[Path, ...]:
    """Folders that hold a packaged model, the best first."""
    package = Path(__file__).resolve().parents[2]
    candidates = [package / "_models" / ADAPTED, package.parent / "models" / ADAPTED]
    wheel = _wheel_folder()
    if wheel is not None:
        candidates.append(wheel)
    return tuple(folder for folder in candidates if _file(folder, _ENCODER) is not None)


def _wheel_folder() -> Path | None:
    # The package is only located: importing it would load a native library and a web client.
    spec = find_spec(_PACKAGE)
    if spec is None or spec.origin is None:
        return None
    return Path(spec.origin).parent / _INSIDE_PACKAGE


def _files_in(folder: Path) -> ModelFiles:
    if not folder.is_dir():
        raise EngineError(f"{folder}: no such folder; give the folder of a speech model")
    helped = any(_file(folder, stem) is not None for stem in (_FRONT, _MEND))
    return ModelFiles(
        folder,
        encoder=_required(folder, _ENCODER),
        decoder=_required(folder, _DECODER),
        tokenizer=_tokenizer(folder),
        front=_required(folder, _FRONT) if helped else None,
        mend=_required(folder, _MEND) if helped else None,
        letters=_file(folder, _LETTERS),
    )


def _required(folder: Path, stem: str) -> Path:
    found = _file(folder, stem)
    if found is None:
        raise EngineError(f"{folder}: {stem}.ort (or .onnx) is missing; copy the whole model again")
    return found


def _tokenizer(folder: Path) -> Path:
    path = folder / "tokenizer.bin"
    if not path.is_file():
        raise EngineError(f"{folder}: tokenizer.bin is missing; copy the whole model again")
    return path


def _file(folder: Path, stem: str) -> Path | None:
    for suffix in _SUFFIXES:
        path = folder / f"{stem}{suffix}"
        if path.is_file():
            return path
    return None
