"""Real human speech: telephone prompts and readings that some packages carry."""

from __future__ import annotations

import gzip
import re
from collections.abc import Iterator
from dataclasses import dataclass
from importlib import resources
from pathlib import Path

import numpy as np
import soundfile
import soxr

from dictate.audio.endpointer import Endpointer
from dictate.audio.source import RATE
from dictate.audio.wav import open_recording
from dictate.bench.figures import Figures
from dictate.bench.hearing import MID_EXAM, Chain
from dictate.bench.outcome import Outcome
from dictate.bench.synthesis import Wave
from dictate.bench.words import plain, word_error_rate
from dictate.speech.heard import Utterance
from dictate.speech.listener import listen

PROMPTS = Path("/usr/share/asterisk/sounds/en_US_f_Allison")
TRANSCRIPTS = Path("/usr/share/doc/asterisk-core-sounds-en/core-sounds-en.txt.gz")
"""Debian's asterisk-core-sounds-en and -en-wav (one woman, 8 kHz)."""
READINGS = ("two_cities.wav", "beckett.wav", "endgame_nagg_nell.wav")
"""In the moonshine-voice wheel: a novel and a play, read aloud."""
_NUMBER = re.compile(r"digits/\d+")


@dataclass(frozen=True, slots=True)
class Prompt:
    """One recorded prompt and the transcript that ships with it."""

    name: str
    text: str
    path: Path


def prompts() -> list[Prompt]:
    """The prompts that are installed, with words in their transcripts; none: empty."""
    if not TRANSCRIPTS.is_file():
        return []
    found = []
    text = gzip.decompress(TRANSCRIPTS.read_bytes()).decode("utf-8", "replace")
    for line in text.splitlines():
        name, colon, said = line.partition(": ")
        path = PROMPTS / f"{name}.wav"
        spoken = re.sub(r"\[.*?\]|\(.*?\)", " ", said).strip()
        if colon and not name.startswith(";") and spoken and path.is_file():
            found.append(Prompt(name, spoken, path))
    return found


def hear_prompts(chain: Chain, every: int = 1) -> Figures | None:
    """Numbers read right, and what all prompts together did to a record; None: not installed."""
    known = prompts()
    if not known:
        return None
    done = _Done()
    numbers, right, pairs = 0, 0, []
    for prompt in known[::every]:
        utterance = chain.listen(_padded(prompt.path))
        said = plain(prompt.text, chain.lexicon.spelling)
        heard = plain(utterance.text, chain.lexicon.spelling) if utterance else ""
        done.add(chain.act(utterance, MID_EXAM))
        if _NUMBER.fullmatch(prompt.name):
            numbers += 1
            right += heard == said
        elif len(said.split()) >= 3:
            pairs.append((said, heard))
    rate = word_error_rate(pairs)
    return {
        "prompts": len(known[::every]),
        "numbers": numbers,
        "numbers_right": right,
        "word_error_rate": None if rate is None else round(rate, 4),
        **done.figures(),
    }


def hear_readings(chain: Chain) -> Figures:
    """What the long readings did to a record, cut into utterances as a microphone would be."""
    folder = resources.files("moonshine_voice") / "assets"
    done = _Done()
    utterances = 0
    for name in READINGS:
        for utterance in _utterances(Path(str(folder / name)), chain):
            utterances += 1
            done.add(chain.act(utterance, MID_EXAM))
    return {"readings": len(READINGS), "utterances": utterances, **done.figures()}


class _Done:
    """Counts what talk that is not for the record has done to it."""

    def __init__(self) -> None:
        self._findings = self._marks = self._commands = 0

    def add(self, outcome: Outcome) -> None:
        self._findings += len(outcome.findings)
        self._marks += len(outcome.normal) + len(outcome.not_examined)
        self._commands += len(outcome.orders)

    def figures(self) -> Figures:
        return {
            "findings": self._findings,
            "regions_marked": self._marks,
            "commands": self._commands,
        }


def _utterances(path: Path, chain: Chain) -> Iterator[Utterance]:
    source = open_recording(path)
    try:
        for event in listen(
            source.frames(), chain.recogniser, Endpointer(), partial_every_s=None, levels=False
        ):
            if isinstance(event, Utterance):
                tidy = chain.tidy(event)
                if tidy is not None:
                    yield tidy
    finally:
        source.close()


def _padded(path: Path) -> Wave:
    samples, rate = soundfile.read(str(path), dtype="float32")
    silence = np.zeros(int(0.3 * RATE), np.float32)
    return np.concatenate([silence, soxr.resample(samples, rate, RATE), silence]).astype(np.float32)
