"""The figures of a run as tables for a terminal."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rich.console import Console
from rich.table import Table
from rich.text import Text

from dictate.bench.figures import Figures
from dictate.bench.report import EngineReport, Report

_COLUMNS = (
    "clips", "words wrong", "slot F1", "silent errors", "flagged errors", "flag rate",
    "of it unsaid", "missed", "invented", "regions F1", "commands", "off-talk", "real-time", "CPU",
)  # fmt: skip


def show(report: Report, console: Console) -> None:
    """Print everything that was measured."""
    for engine in report.engines:
        console.print(_conditions(engine))
        if engine.voices:
            console.print(_rows(f"{engine.name}: voices, clean speech", "voice", engine.voices))
        for condition, groups in engine.characters.items():
            title = f"{engine.name}: kinds of voice, {condition}"
            console.print(_rows(title, "voices", groups))
        if report.options.split == "dev" or len(report.engines) == 1:
            console.print(_slots(engine))
        for line in _lines(engine):
            console.print(Text(line))
        for line in _errors(engine):
            console.print(Text(line))
    if report.matcher:
        console.print(_matcher(report.matcher))
    if report.disturbed:
        busy = f"other programs kept the machine busy (load {report.load}):"
        console.print(Text(f"{busy} judge speed by the processor's time, not by the clock"))
    for name, why in report.skipped.items():
        console.print(Text(f"{name} was left out: {why}"))


def _conditions(engine: EngineReport) -> Table:
    title = f"{engine.name}: {engine.all_critical_silent} silent critical errors in all"
    return _rows(title, "condition", engine.conditions)


def _rows(title: str, first: str, groups: dict[str, Figures]) -> Table:
    table = Table(title=title, title_justify="left")
    table.add_column(first)
    for column in _COLUMNS:
        table.add_column(column, justify="right")
    for name, each in groups.items():
        table.add_row(name, *_cells(each))
    return table


def _cells(each: Figures) -> Sequence[str]:
    critical, talk = each["critical"]["all"], each["off_talk"]
    done = talk["findings"] + talk["regions_marked"] + talk["commands"]
    return (
        str(each["clips"]),
        _number(each["word_error_rate"]),
        _number(each["slots"]["all"]["f1"]),
        str(critical["silent_errors"]),
        str(critical["flagged_errors"]),
        _number(critical["flag_rate"]),
        _number(critical["flag_rate_unsaid"]),
        f"{each['findings']['missed']}/{each['findings']['meant']}",
        str(each["findings"]["invented"]),
        _number(each["slots"]["regions_marked"]["f1"]),
        f"{each['commands']['obeyed']}/{each['commands']['said']}",
        f"{done}/{talk['said']}",
        _number(each["real_time_factor"]),
        _number(each["cpu_factor"]),
    )


def _slots(engine: EngineReport) -> Table:
    table = Table(title=f"{engine.name}: F1 of each slot", title_justify="left")
    table.add_column("slot")
    for condition in engine.conditions:
        table.add_column(condition, justify="right")
    names = next(iter(engine.conditions.values()))["slots"] if engine.conditions else {}
    for slot in names:
        cells = [_number(each["slots"][slot]["f1"]) for each in engine.conditions.values()]
        table.add_row(slot, *cells)
    return table


def _matcher(sizes: dict[str, Figures]) -> Table:
    table = Table(title="matcher: milliseconds an utterance", title_justify="left")
    for column in ("vocabulary", "phrases", "mean", "slowest"):
        table.add_column(column, justify="right")
    for name, each in sizes.items():
        table.add_row(name, str(each["phrases"]), str(each["ms_mean"]), str(each["ms_slowest"]))
    return table


def _lines(engine: EngineReport) -> Iterator[str]:
    if engine.prompts:
        seen = engine.prompts
        yield (
            f"{engine.name}: {seen['prompts']} telephone prompts: numbers read right"
            f" {seen['numbers_right']}/{seen['numbers']}, words wrong"
            f" {_number(seen['word_error_rate'])}, {_done(seen)}"
        )
    if engine.readings:
        yield f"{engine.name}: {engine.readings['readings']} readings: {_done(engine.readings)}"
    if engine.latency:
        speech, end = engine.latency["after_speech_s"], engine.latency["after_endpoint_s"]
        cpu = engine.latency["after_endpoint_cpu_s"]
        yield (
            f"{engine.name}: finding after the last word {speech['median']} s (p95"
            f" {speech['p95']}), after the endpoint {end['median']} s (p95 {end['p95']}),"
            f" of the processor's time {cpu['median']} s (p95 {cpu['p95']});"
            f" {engine.latency['clips_cut']} of {engine.latency['clips']} clips cut in two,"
            f" {engine.latency['clips_unheard']} unheard"
        )
    if engine.process:
        yield (
            f"{engine.name}: listening after {engine.process['startup_s']} s"
            f" ({engine.process['startup_cpu_s']} s of the processor's time),"
            f" peak memory {engine.process['peak_memory_mb']} MB"
        )


def _done(seen: Figures) -> str:
    return (
        f"{seen['findings']} findings, {seen['regions_marked']} regions marked,"
        f" {seen['commands']} commands"
    )


def _errors(engine: EngineReport) -> Iterator[str]:
    for each in engine.wrong:
        silent = each.score.all_critical.silent_errors
        mark = f"SILENT x{silent}" if silent else "wrong"
        yield f"{mark} {each.sentence} {each.voice} {each.condition}"
        yield f"    said  {each.reference}"
        yield f"    heard {each.text}"
        for difference in each.differences:
            yield f"      {difference}"


def _number(value: float | None) -> str:
    return "-" if value is None else f"{value:.3f}"
