"""A trial load of a packaged model in a process of its own.

A damaged network can crash onnxruntime; `python -m dictate.speech.packaged_trial DIR`, started
by `try_packaged`, is there to crash instead of the session. It sends `{"why_not": ...}`.
"""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np

from dictate.audio.source import RATE
from dictate.child_process import Child, ChildGoneError, Message, own_pipes, write_message
from dictate.errors import EngineError

_LOAD_S = 60.0


def try_packaged(folder: Path) -> str | None:
    """Why the model in the folder cannot be used; None if it can. Never raises."""
    child = Child("dictate.speech.packaged_trial", str(folder))
    try:
        message = child.receive(_LOAD_S)
    except ChildGoneError as error:
        return f"{folder}: crashed when it was loaded ({error}); copy the whole model again"
    finally:
        child.stop()
    if message is None:
        return f"{folder}: did not load within {_LOAD_S:g} s; copy the whole model again"
    why_not: str | None = message.head["why_not"]
    return why_not


def main(argv: list[str]) -> None:
    """Load the model and decode half a second of silence."""
    from dictate.speech.packaged.engine import PackagedRecogniser
    from dictate.vocabulary.loader import load

    _, send = own_pipes()
    why_not = None
    try:
        recogniser = PackagedRecogniser(load(), Path(argv[0]), bias=False)
        recogniser.hear(np.zeros(RATE // 2, np.int16))
        recogniser.finish()
    except EngineError as error:
        why_not = str(error)
    except Exception as error:  # onnxruntime raises its own kinds for a damaged network
        why_not = f"{argv[0]}: does not load ({type(error).__name__}); copy the whole model again"
    write_message(send, Message({"why_not": why_not}))


if __name__ == "__main__":
    main(sys.argv[1:])
