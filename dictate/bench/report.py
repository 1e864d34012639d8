"""What a run found: plain figures, fit for JSON."""

from __future__ import annotations

import json
import os
import platform
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from dictate.bench.figures import Figures
from dictate.bench.hearing import Heard
from dictate.bench.options import Options


@dataclass(slots=True)
class EngineReport:
    """The figures of one engine."""

    name: str
    conditions: dict[str, Figures] = field(default_factory=dict)
    voices: dict[str, Figures] = field(default_factory=dict)
    """Clean speech, voice by voice."""
    characters: dict[str, dict[str, Figures]] = field(default_factory=dict)
    """By condition: neural, natural and robotic voices."""
    all_critical_silent: int = 0
    """Silent errors over every condition."""
    prompts: Figures | None = None
    readings: Figures | None = None
    latency: Figures | None = None
    process: Figures | None = None
    """Start-up and peak memory."""
    wrong: list[Heard] = field(default_factory=list)
    """Clips that did not come out as meant; kept on the dev split alone."""


@dataclass(slots=True)
class Report:
    """The figures of a run."""

    options: Options
    engines: list[EngineReport] = field(default_factory=list)
    matcher: dict[str, Figures] | None = None
    load: float = 0.0
    """Programs that wanted a processor at the end, the benchmark's own included."""
    skipped: dict[str, str] = field(default_factory=dict)
    """Engines that could not run, and why."""

    @property
    def disturbed(self) -> bool:
        """True if other programs took so much that the wall's clock says little."""
        return self.load > (os.cpu_count() or 1) * 1.5

    def as_json(self) -> dict[str, Any]:
        """Figures only: no sentence of any split is in it."""
        return {
            "split": self.options.split,
            "quick": self.options.quick,
            "noisy_share": self.options.noisy_share,
            "machine": {
                "processor": platform.machine(),
                "cores": os.cpu_count(),
                "load": self.load,
            },
            "engines": {
                each.name: {
                    "conditions": each.conditions,
                    "voices_clean": each.voices,
                    "characters": each.characters,
                    "silent_errors_everywhere": each.all_critical_silent,
                    "prompts": each.prompts,
                    "readings": each.readings,
                    "latency": each.latency,
                    "process": each.process,
                }
                for each in self.engines
            },
            "matcher": self.matcher,
            "skipped": self.skipped,
        }

    def write(self, path: Path) -> None:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(json.dumps(self.as_json(), indent=1) + "\n", encoding="utf-8")
