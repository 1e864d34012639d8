"""The work of a run: which clips are heard how, by one process or several."""

from __future__ import annotations

import hashlib
import multiprocessing
import os
from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path

from dictate.bench.clips import Clip, assigned, speech, spoken
from dictate.bench.conditions import ALL, QUICK, Condition, heard, named
from dictate.bench.hearing import Chain, Heard, Reader, judged
from dictate.bench.options import TYPED, Options
from dictate.bench.problems import BenchError
from dictate.bench.sentences import Sentence, load_sentences
from dictate.bench.synthesis import Wave
from dictate.bench.voices import Voice, VoiceFile, load_voices
from dictate.speech.heard import typed
from dictate.vocabulary.loader import load

QUICK_EVERY = 9
"""Odd, so that American and British sentences take turns in it."""
TALKERS = 5


@dataclass(frozen=True, slots=True)
class Task:
    """One clip under one condition."""

    sentence: Sentence
    voice: Voice
    condition: Condition


def tasks(options: Options) -> list[Task]:
    """Everything to be heard, in order. Raises BenchError for unknown voices or conditions."""
    known = sentences(options)
    pairs = assigned(known, speakers(options))
    if options.quick:
        kept = {sentence.id for sentence in known[::QUICK_EVERY]}
        pairs = [(sentence, voice) for sentence, voice in pairs if sentence.id in kept]
    default = QUICK if options.quick else ALL
    chosen = named(options.conditions) if options.conditions else default
    return [
        Task(sentence, voice, condition)
        for condition in chosen
        for sentence, voice in pairs
        if condition.sound == "clean" or _drawn(sentence, voice, options.noisy_share)
    ]


def sentences(options: Options) -> tuple[Sentence, ...]:
    return load_sentences(options.recordings / f"{options.split}_sentences.toml")


def speakers(options: Options) -> tuple[Voice, ...]:
    """The voices of the split, or those asked for; never one of the other split."""
    file = load_voices(options.recordings / "voices.toml")
    if not options.voices:
        return file.of(options.split)
    chosen = tuple(file.named(each) for each in options.voices)
    for voice in chosen:
        if voice.split != options.split:
            raise BenchError(
                f"the voice {voice.id} is kept for {voice.split}; choose one of {options.split}"
            )
    return chosen


def hear_all(engine: str, work: Sequence[Task], options: Options) -> Iterator[Heard]:
    """Each task's result, in order."""
    if engine == TYPED:
        yield from _typed(work)
        return
    if options.jobs <= 1:
        worker = Worker(engine, options)
        yield from map(worker.hear, work)
        return
    context = multiprocessing.get_context("spawn")
    with ProcessPoolExecutor(
        options.jobs, context, initializer=_start, initargs=(engine, options)
    ) as pool:
        yield from pool.map(_hear, work, chunksize=8)


def _typed(work: Sequence[Task]) -> Iterator[Heard]:
    """Every sentence once, as if it had been heard without an error."""
    reader = Reader(load())
    for each in {task.sentence.id: task.sentence for task in work}.values():
        yield replace(judged(reader, each, typed(each.say)), voice=TYPED, condition=TYPED)


class Worker:
    """One engine, and the clips as they are made for it."""

    def __init__(self, engine: str, options: Options) -> None:
        self.chain = Chain(engine, load())
        self._options = options
        self._voices = load_voices(options.recordings / "voices.toml")

    def hear(self, task: Task) -> Heard:
        """Hear the clip and score it."""
        samples = self.sound(task)
        return self.chain.judge(task.sentence, task.voice.id, task.condition.name, samples)

    def sound(self, task: Task) -> Wave:
        """The clip under its condition."""
        clip = spoken(task.sentence, task.voice, self._voices, self._options.cache)
        talkers = self._talkers(clip) if task.condition.sound == "babble" else ()
        return heard(clip, task.condition, talkers)

    def _talkers(self, clip: Clip) -> list[Wave]:
        """A few people in the background, none of them with the clip's own voice."""
        crowd = _crowd(self._options.recordings, self._options.cache, clip.voice.split)
        others = [wave for voice, wave in crowd if voice != clip.voice.id]
        first = _number(f"{clip.sentence.id}/{clip.voice.id}/talkers") % len(others)
        return [others[(first + 3 * step) % len(others)] for step in range(TALKERS)]


@lru_cache(maxsize=2)
def _crowd(recordings: Path, cache: Path, split: str) -> list[tuple[str, Wave]]:
    """Everyday talk by every voice of the split that is quickly made."""
    voices: VoiceFile = load_voices(recordings / "voices.toml")
    talk = [
        sentence
        for sentence in load_sentences(recordings / f"{split}_sentences.toml")
        if sentence.kind == "offtalk"
    ]
    return [
        (voice.id, speech(sentence, voice, voices, cache))
        for voice in voices.voice
        if voice.split == split and voice.character != "neural"
        for sentence in talk[:8]
    ]


_worker: Worker | None = None


def _start(engine: str, options: Options) -> None:
    global _worker
    os.environ.setdefault("OMP_NUM_THREADS", "1")
    _worker = Worker(engine, options)


def _hear(task: Task) -> Heard:
    assert _worker is not None
    return _worker.hear(task)


def _drawn(sentence: Sentence, voice: Voice, share: float) -> bool:
    """True for that share of the clips, always the same ones."""
    return _number(f"{sentence.id}/{voice.id}/drawn") % 1000 < share * 1000


def _number(text: str) -> int:
    return int.from_bytes(hashlib.sha256(text.encode()).digest()[:6], "big")
