"""Which speech models are installed, whether each works, and how to get another."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from dictate.speech.model_folders import (
    PACKAGED,
    VOSK,
    ModelFolder,
    find_models,
    user_folder,
)
from dictate.speech.packaged_trial import try_packaged
from dictate.speech.vosk_engine.phrases import spoken_phrases
from dictate.speech.vosk_engine.trial import Trial, try_model
from dictate.vocabulary.schema import Lexicon

SOURCE = "https://alphacephei.com/vosk/models"
"""Where the makers of Vosk publish models; named to a person, never opened from here."""
_SHOWN = 12


@dataclass(frozen=True, slots=True)
class InstalledModel:
    """A model and what came of trying it out."""

    folder: ModelFolder
    why_not: str | None
    """Why it cannot be used, and what to do; None if it works."""
    missing_words: tuple[str, ...] = ()
    """Words of the vocabulary that it can never hear."""
    warnings: tuple[str, ...] = ()

    @property
    def usable(self) -> bool:
        return self.why_not is None


def installed_models(lexicon: Lexicon, extra: Path | None = None) -> Iterator[InstalledModel]:
    """Every model there is, each loaded once in a process of its own (a few seconds each)."""
    for folder in find_models(extra):
        if folder.engine == PACKAGED:
            yield InstalledModel(folder, try_packaged(folder.path))
        else:
            yield _tried(folder, try_model(folder.path, spoken_phrases(lexicon)))


def report(lexicon: Lexicon, extra: Path | None = None) -> Iterator[str]:
    """Lines for a person, each as soon as it is known."""
    if extra is not None and not any(f.path == extra.resolve() for f in find_models(extra)):
        yield f"{extra}: is no speech model; give the folder of an unpacked one"
    english = False
    for model in installed_models(lexicon, extra):
        yield from _lines(model)
        english |= model.folder.engine == VOSK and _speaks(model, lexicon)
    if not english:
        yield ""
        yield from how_to_get_one()


def how_to_get_one() -> tuple[str, ...]:
    """How a person gets an English model for the Vosk engine; lines."""
    return (
        "No English model for the vosk engine is here; the packaged engine needs none.",
        "To get one (this program never downloads anything):",
        f"  1. On a computer with network, download an English model from {SOURCE}.",
        '     Choose a small one: those can be held to the vocabulary ("dynamic graph").',
        f"  2. Unpack the archive into {user_folder()}",
        "     so that the model's own folder, with 'am', 'conf' and 'graph' in it, lies there.",
        "  3. Run `dictate models` again: it tries the model out.",
    )


def _speaks(model: InstalledModel, lexicon: Lexicon) -> bool:
    """True if it works and has most words: names do not always tell the language."""
    return model.usable and len(model.missing_words) < len(lexicon.words()) / 2


def _tried(folder: ModelFolder, trial: Trial) -> InstalledModel:
    warnings = []
    if trial.why_not is None:
        if not trial.held_to_vocabulary:
            warnings.append("its graph is fixed: it cannot be held to the vocabulary")
        elif not trial.rejects_other_talk:
            warnings.append("it hears talk outside the vocabulary as words of it")
    return InstalledModel(folder, trial.why_not, trial.missing_words, tuple(warnings))


def _lines(model: InstalledModel) -> Iterator[str]:
    folder = model.folder
    size = f"{folder.size_bytes / 1e6:.0f} MB"
    state = "works" if model.usable else "does not work"
    yield f"{folder.engine:<9} {folder.name}  {folder.language}  {size}  {state}"
    yield f"          {folder.path}"
    if model.why_not:
        yield f"          {model.why_not}"
    if model.missing_words:
        more = ", ..." if len(model.missing_words) > _SHOWN else ""
        some = ", ".join(model.missing_words[:_SHOWN])
        yield f"          cannot hear {len(model.missing_words)} words: {some}{more}"
    for warning in model.warnings:
        yield f"          {warning}"
