"""The parent's side of the worker process: every failure of libvosk becomes an EngineError."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, NoReturn

from dictate.child_process import Child, ChildGoneError, Message
from dictate.errors import EngineError
from dictate.speech.vosk_engine.model_check import ModelLayout, check_layout

LOAD_S = 120.0
"""A model of 2 GB on a slow disk."""
ANSWER_S = 10.0
"""A sentence is decoded in a tenth of its length; ten seconds is a hang."""
N_BEST = 5


@dataclass(frozen=True, slots=True)
class Loaded:
    """What the worker said of a model it has loaded."""

    missing_words: tuple[str, ...]
    """Words of the vocabulary that are not in the model: it can never hear them."""
    rejects: bool
    """True if speech outside the vocabulary comes out as unknown, not as its words."""


class VoskProcess:
    """A model loaded in a process of its own."""

    def __init__(self, folder: Path, phrases: Iterable[Sequence[str]]) -> None:
        """Check the folder and load it. Raises EngineError with the cause and the remedy."""
        self.layout: ModelLayout = check_layout(folder)
        self._child = Child("dictate.speech.vosk_engine.worker", str(folder.resolve()))
        setting = {
            "phrases": [list(phrase) for phrase in phrases],
            "fixed": not self.layout.takes_grammar,
            "n_best": N_BEST,
        }
        answer = self._ask(Message(setting), LOAD_S)
        if "unknown" in answer:
            self._child.stop()
            raise EngineError(
                f"{folder}: knows none of the vocabulary's {answer['unknown']} words; "
                "give a model of the vocabulary's language"
            )
        about = answer["ready"]
        self.loaded = Loaded(tuple(about["missing"]), about["rejects"])

    def ask(self, do: str, sound: bytes = b"") -> dict[str, Any]:
        """Have the worker do something. Raises EngineError, and the worker is gone then."""
        return self._ask(Message({"do": do}, sound), ANSWER_S)

    def close(self) -> None:
        """End the process; may be called twice."""
        self._child.stop()

    def _ask(self, message: Message, timeout_s: float) -> dict[str, Any]:
        try:
            self._child.send(message)
            answer = self._child.receive(timeout_s)
        except ChildGoneError as error:
            self._give_up(f"libvosk broke off: {error}{self._last_words()}")
        if answer is None:
            self._give_up(f"libvosk did not answer within {timeout_s:g} s")
        if "error" in answer.head:
            self._give_up(f"{answer.head['error']}{self._last_words()}")
        return answer.head

    def _give_up(self, cause: str) -> NoReturn:
        self._child.stop()
        raise EngineError(
            f"the Vosk model {self.layout.path} does not work ({cause}); "
            "unpack it again, whole, or use the packaged engine"
        )

    def _last_words(self) -> str:
        """libvosk's own reason, which only goes to its standard error."""
        self._child.stop()
        marked = [line for line in self._child.printed().splitlines() if _is_fault(line)]
        return f": {marked[0].partition(') ')[2] or marked[0]}" if marked else ""


def _is_fault(line: str) -> bool:
    return line.startswith(("ERROR", "ASSERTION_FAILED"))
