"""The recognisers that are compared, by name."""

from __future__ import annotations

from pathlib import Path

from dictate.bench.options import ENGINES
from dictate.bench.pocketsphinx import PocketSphinx
from dictate.bench.problems import BenchError
from dictate.speech.engines import choose_engine
from dictate.speech.packaged.engine import PackagedRecogniser
from dictate.speech.port import Recogniser
from dictate.vocabulary.schema import Lexicon


def open_engine(name: str, lexicon: Lexicon) -> Recogniser:
    """The recogniser of that name: one of ENGINES, or "packaged:DIR", "raw:DIR", "vosk:DIR".

    Raises BenchError for an unknown name, EngineError when a model does not load.
    """
    kind, _, folder = name.partition(":")
    model = Path(folder) if folder else None
    if kind in ("packaged", "vosk"):
        return choose_engine(kind, model, lexicon)
    if kind == "raw":
        return PackagedRecogniser(lexicon, model_dir=model, bias=False)
    if kind == "pocketsphinx":
        return PocketSphinx(lexicon)
    raise BenchError(f"no engine {name!r}; choose from: {', '.join(ENGINES)}, packaged:DIR")
