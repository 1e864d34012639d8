"""A trial load of a Vosk model: `python -m dictate.speech.vosk_engine.trial DIR`."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from dictate.errors import DictateError, EngineError
from dictate.speech.vosk_engine.phrases import spoken_phrases
from dictate.speech.vosk_engine.process import VoskProcess


@dataclass(frozen=True, slots=True)
class Trial:
    """What came of loading a model and decoding a second of noise with it."""

    why_not: str | None
    """Why it cannot be used; None if it can."""
    missing_words: tuple[str, ...] = ()
    held_to_vocabulary: bool = False
    rejects_other_talk: bool = False


def try_model(folder: Path, phrases: Iterable[Sequence[str]]) -> Trial:
    """Load the model in a process of its own, decode, and let it go again. Never raises."""
    try:
        process = VoskProcess(folder, phrases)
    except EngineError as error:
        return Trial(str(error))
    process.close()
    return Trial(
        None,
        process.loaded.missing_words,
        process.layout.takes_grammar,
        process.loaded.rejects,
    )


def main(argv: list[str]) -> int:
    """Try the folder given against the installed vocabulary; exit code 0 if it works, else 2."""
    from dictate.vocabulary.loader import load

    if len(argv) != 1:
        print("usage: python -m dictate.speech.vosk_engine.trial DIR", file=sys.stderr)
        return 2
    try:
        trial = try_model(Path(argv[0]), spoken_phrases(load()))
    except DictateError as error:
        trial = Trial(str(error))
    if trial.why_not is not None:
        print(trial.why_not, file=sys.stderr)
        return 2
    print(f"works; {len(trial.missing_words)} words of the vocabulary are not in it")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
