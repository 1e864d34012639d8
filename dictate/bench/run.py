"""One run of the benchmark: every engine over the same clips."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

from dictate.bench import human, latency, matcher_speed
from dictate.bench.clips import Clip, spoken
from dictate.bench.figures import figures, grouped
from dictate.bench.hearing import Chain, Heard
from dictate.bench.options import TYPED, Options
from dictate.bench.probe import probe
from dictate.bench.problems import BenchError
from dictate.bench.report import EngineReport, Report
from dictate.bench.voices import load_voices
from dictate.bench.work import Task, hear_all, sentences, tasks
from dictate.errors import EngineError
from dictate.vocabulary.loader import load

LATENCY_CLIPS = 40
QUICK_PROMPTS = 8
"""A quick run hears every eighth prompt."""


def run(options: Options, tell: Callable[[str], None] = lambda line: None) -> Report:
    """Measure; `tell` gets a line of progress now and then.

    Raises BenchError for options that do not fit, or when no engine could run.
    """
    if options.show_errors and options.split == "eval":
        raise BenchError(
            "sentences of the evaluation are not shown, so that nothing is tuned on them;"
            " use --split dev with --show-errors"
        )
    report = Report(options)
    work = tasks(options)
    for name in options.engines:
        try:
            report.engines.append(_engine(name, work, options, tell))
            _keep(report, options)
        except (BenchError, EngineError) as error:
            report.skipped[name] = str(error)
            tell(f"{name}: {error}")
    if not report.engines:
        raise BenchError(next(iter(report.skipped.values()), "no engine was named"))
    if options.timing:
        tell("matcher")
        report.matcher = matcher_speed.measure(load(), sentences(options))
    _keep(report, options)
    return report


def _keep(report: Report, options: Options) -> None:
    """Write what is known so far: a long run that is broken off is not lost."""
    report.load = round(os.getloadavg()[0], 1) if hasattr(os, "getloadavg") else 0.0
    if options.json_path is not None:
        report.write(options.json_path)


def _engine(
    name: str, work: list[Task], options: Options, tell: Callable[[str], None]
) -> EngineReport:
    heard: list[Heard] = []
    for number, each in enumerate(hear_all(name, work, options), 1):
        heard.append(each)
        if number % 100 == 0 or number == len(work):
            tell(f"{name}: {number} of {len(work)} clips")
    report = EngineReport(name)
    _fill(report, heard, options)
    if name != TYPED and (options.human or options.timing):
        chain = Chain(name, load())
        if options.human:
            tell(f"{name}: human speech")
            report.prompts = human.hear_prompts(chain, QUICK_PROMPTS if options.quick else 1)
            report.readings = human.hear_readings(chain)
        if options.timing:
            tell(f"{name}: latency")
            report.latency = latency.measure(chain, _clips(work, options))
            report.process = probe(name, _shipped(options))
    if options.show_errors:
        report.wrong = [each for each in heard if each.differences]
    return report


def _fill(report: EngineReport, heard: list[Heard], options: Options) -> None:
    character = {
        voice.id: str(voice.character)
        for voice in load_voices(options.recordings / "voices.toml").voice
    }
    report.conditions = grouped(heard, lambda each: each.condition)
    clean = [each for each in heard if each.condition == "clean"]
    report.voices = grouped(clean, lambda each: each.voice)
    for condition in report.conditions:
        if condition == TYPED:
            continue
        here = [each for each in heard if each.condition == condition]
        report.characters[condition] = grouped(here, lambda each: character[each.voice])
    if heard:
        report.all_critical_silent = figures(heard)["critical"]["all"]["silent_errors"]


def _clips(work: list[Task], options: Options) -> list[Clip]:
    voices = load_voices(options.recordings / "voices.toml")
    clean = [task for task in work if task.condition.sound == "clean"]
    dictated = [task for task in clean if task.sentence.kind != "offtalk"]
    chosen = dictated[:: max(1, len(dictated) // LATENCY_CLIPS)][:LATENCY_CLIPS]
    return [spoken(task.sentence, task.voice, voices, options.cache) for task in chosen]


def _shipped(options: Options) -> list[Path]:
    return sorted((options.recordings / options.split).glob("*.flac"))[:16]
