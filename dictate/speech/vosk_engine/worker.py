"""The process that holds libvosk: `python -m dictate.speech.vosk_engine.worker DIR`.

Started by `process`, never by a person. The first message it gets holds the phrases; its
answer is `{"ready": ...}`, `{"unknown": number of words}` when the model knows none of
them, or `{"error": "cause"}`. After that it answers each message:

    {"do": "begin"}         -> {}
    {"do": "hear"} + bytes  -> {}            16 kHz mono int16, little-endian
    {"do": "partial"}       -> {"text": ...}
    {"do": "finish"}        -> {"best": ..., "others": ...}   times from `begin` on
"""

from __future__ import annotations

import json
import sys
from array import array
from collections.abc import Sequence
from random import Random
from typing import Any

from dictate.audio.source import RATE
from dictate.child_process import Message, own_pipes, read_message, write_message
from dictate.speech.vosk_engine.phrases import UNKNOWN, grammar


class WrongLanguageError(Exception):
    """The model knows no word of the vocabulary; `args[0]` is how many those are."""


class Recognisers:
    """One model and the two recognisers on it, each kept for the whole session.

    One gives the words with confidences, the other the n-best list: libvosk cannot give
    both at once, and many short-lived recognisers leak.
    """

    def __init__(self, folder: str, phrases: list[Sequence[str]], fixed: bool, n_best: int) -> None:
        """Load. Raises WrongLanguageError or a bare Exception; or libvosk ends the process."""
        import vosk  # here: it loads 25 MB of native code

        vosk.SetLogLevel(-1)
        self._model = vosk.Model(model_path=folder)
        kept, self.missing = grammar(phrases, self._knows)
        if not kept:
            raise WrongLanguageError(len(self.missing))
        self.rejects = self._knows(UNKNOWN) and not fixed
        spoken = json.dumps([*kept, *([UNKNOWN] if self.rejects else [])], ensure_ascii=False)
        arguments = (self._model, RATE) if fixed else (self._model, RATE, spoken)
        self._best = vosk.KaldiRecognizer(*arguments)
        self._best.SetWords(True)
        self._others = vosk.KaldiRecognizer(*arguments)
        self._others.SetWords(True)
        self._others.SetMaxAlternatives(n_best)
        self._fed = self._begun = 0

    def begin(self) -> None:
        if self._fed > self._begun:
            # Not Reset: it leaves the last frames behind, to be heard in the next utterance.
            self._best.FinalResult()
            self._others.FinalResult()
        self._begun = self._fed

    def hear(self, sound: bytes) -> None:
        # That it thinks the sentence over is no matter: the endpointer decides that.
        self._best.AcceptWaveform(sound)
        self._others.AcceptWaveform(sound)
        self._fed += len(sound) // 2

    def partial(self) -> str:
        return str(json.loads(self._best.PartialResult()).get("partial", ""))

    def finish(self) -> dict[str, Any]:
        best = json.loads(self._best.FinalResult()).get("result", [])
        others = json.loads(self._others.FinalResult()).get("alternatives", [])
        for each in (best, *(other.get("result", []) for other in others)):
            self._since_begin(each)
        self._begun = self._fed
        return {"best": best, "others": others}

    def try_out(self) -> None:
        """Decode a little noise: some damage shows only here, by a crash or an exception."""
        random = Random(0)
        noise = array("h", (random.randint(-500, 500) for _ in range(RATE)))
        self.hear(noise.tobytes())
        self.partial()
        self.finish()

    def _knows(self, word: str) -> bool:
        return bool(self._model.vosk_model_find_word(word) > 0)

    def _since_begin(self, words: list[dict[str, Any]]) -> None:
        """libvosk counts time from the first sample it ever got."""
        for word in words:
            word["start"] -= self._begun / RATE
            word["end"] -= self._begun / RATE


def answer(recognisers: Recognisers, message: Message) -> dict[str, Any]:
    """Do what the message asks."""
    match message.head["do"]:
        case "begin":
            recognisers.begin()
        case "hear":
            recognisers.hear(message.body)
        case "partial":
            return {"text": recognisers.partial()}
        case "finish":
            return recognisers.finish()
    return {}


def main(argv: list[str]) -> None:
    """Serve until standard input ends."""
    receive, send = own_pipes()
    setting = read_message(receive)
    if setting is None:
        return
    try:
        recognisers = Recognisers(argv[0], **setting.head)
        recognisers.try_out()
        about = {"missing": recognisers.missing, "rejects": recognisers.rejects}
        write_message(send, Message({"ready": about}))
        while (message := read_message(receive)) is not None:
            write_message(send, Message(answer(recognisers, message)))
    except BrokenPipeError:
        return
    except WrongLanguageError as error:
        write_message(send, Message({"unknown": error.args[0]}))
    except Exception as error:  # libvosk's bindings raise nothing more specific
        write_message(send, Message({"error": str(error)}))


if __name__ == "__main__":
    main(sys.argv[1:])
