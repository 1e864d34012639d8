"""The choice of an engine: by name, by the model given, or the packaged one."""

from __future__ import annotations

from pathlib import Path

from dictate.errors import EngineError
from dictate.speech.model_folders import (
    ENGINES,
    PACKAGED,
    VOSK,
    engine_of,
    find_models,
    user_folder,
)
from dictate.speech.port import Recogniser
from dictate.vocabulary.schema import Lexicon


def choose_engine(name: str | None, model: Path | None, lexicon: Lexicon) -> Recogniser:
    """Load the engine called `name` with the model in the folder `model`.

    Without a name the model decides, without either it is the packaged engine. `vosk`
    without a model takes an installed one, English before others. Raises EngineError.
    """
    if name is not None and name not in ENGINES:
        raise EngineError(f"there is no engine '{name}'; there is: {', '.join(ENGINES)}")
    if _kind(name, model) == VOSK:
        return _vosk(model or _installed_vosk(), lexicon)
    return _packaged(model, lexicon)


def _kind(name: str | None, model: Path | None) -> str:
    if model is None:
        return name or PACKAGED
    if not model.is_dir():
        raise EngineError(f"{model}: no such folder; `dictate models` lists what is there")
    kind = engine_of(model)
    if kind is None:
        raise EngineError(f"{model}: is no speech model; give the folder of an unpacked one")
    if name is not None and name != kind:
        raise EngineError(f"{model}: is a model for the {kind} engine; say --engine {kind}")
    return kind


def _installed_vosk() -> Path:
    found = [folder for folder in find_models() if folder.engine == VOSK]
    if not found:
        raise EngineError(
            f"no Vosk model is installed; unpack an English one into {user_folder()} "
            "(`dictate models` says how), or give its folder with --model"
        )
    return min(found, key=lambda folder: not folder.language.startswith("en")).path


def _packaged(model: Path | None, lexicon: Lexicon) -> Recogniser:
    # Each engine is imported only when it is used: they load much.
    from dictate.speech.packaged.engine import PackagedRecogniser

    return PackagedRecogniser(lexicon, model)


def _vosk(model: Path, lexicon: Lexicon) -> Recogniser:
    from dictate.speech.vosk_engine.engine import VoskRecogniser

    return VoskRecogniser(lexicon, model)
