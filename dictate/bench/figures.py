"""Figures over a set of heard clips, as the table and the JSON show them."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import Any

from dictate.bench.hearing import Heard
from dictate.bench.scoring import Score
from dictate.bench.slots import SLOTS, Critical, Tally
from dictate.bench.words import word_error_rate

Figures = dict[str, Any]


def figures(clips: Sequence[Heard]) -> Figures:
    """Every figure of the benchmark over these clips."""
    total = Score()
    for clip in clips:
        total.merge(clip.score)
    dictated = [(c.reference, c.text) for c in clips if not c.score.offtalk]
    sound_s = sum(clip.sound_s for clip in clips)
    return {
        "clips": len(clips),
        "word_error_rate": _rounded(word_error_rate(dictated)),
        "slots": {
            "all": _tally(total.all_slots),
            **{slot: _tally(total.slots[slot]) for slot in SLOTS},
            "regions_marked": _tally(total.marks),
        },
        "critical": {
            "all": _critical(total.all_critical),
            **{slot: _critical(each) for slot, each in total.critical.items()},
        },
        "findings": {
            "meant": total.findings_meant,
            "missed": total.findings_missed,
            "invented": total.findings_invented,
        },
        "commands": {
            "said": total.commands,
            "obeyed": total.commands_obeyed,
            "share": _share(total.commands_obeyed, total.commands),
        },
        "off_talk": {
            "said": total.offtalk,
            "findings": total.offtalk_findings,
            "regions_marked": total.offtalk_marks,
            "commands": total.offtalk_commands,
        },
        "real_time_factor": _share(sum(c.engine_s + c.matcher_s for c in clips), sound_s, 4),
        "cpu_factor": _share(sum(c.engine_cpu_s for c in clips), sound_s, 4),
        "matcher_ms": _share(1000 * sum(c.matcher_s for c in clips), len(clips), 2),
    }


def grouped(clips: Iterable[Heard], key: Callable[[Heard], str]) -> dict[str, Figures]:
    """Figures for each group of clips, in the order in which the groups first appear."""
    groups: dict[str, list[Heard]] = {}
    for clip in clips:
        groups.setdefault(key(clip), []).append(clip)
    return {name: figures(members) for name, members in groups.items()}


def _tally(tally: Tally) -> Figures:
    return {
        "precision": _rounded(tally.precision),
        "recall": _rounded(tally.recall),
        "f1": _rounded(tally.f1),
        "said": tally.hits + tally.missed,
    }


def _critical(critical: Critical) -> Figures:
    return {
        "judged": critical.judged,
        "flag_rate": _share(critical.flagged, critical.judged),
        "flag_rate_unsaid": _share(critical.flagged_unsaid, critical.judged),
        "flagged_errors": critical.flagged_errors,
        "silent_errors": critical.silent_errors,
    }


def _share(part: float, whole: float, digits: int = 4) -> float | None:
    return round(part / whole, digits) if whole else None


def _rounded(value: float | None) -> float | None:
    return None if value is None else round(value, 4)
