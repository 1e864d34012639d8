"""What a run of the benchmark covers."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import platformdirs

from dictate.bench.voices import Split

TYPED = "typed"
"""No engine: each sentence as text, so what the matcher does when nothing is misheard."""
ENGINES = (TYPED, "raw", "pocketsphinx", "packaged")
"""Typed text, the packaged model without bias, PocketSphinx with a trigram, our engine."""


RECORDINGS = Path(__file__).resolve().parents[2] / "recordings_synthetic"
CACHE = Path(platformdirs.user_cache_dir("dictate")) / "bench"


@dataclass(frozen=True, slots=True)
class Options:
    """Everything that the command line can say."""

    split: Split = "dev"
    engines: tuple[str, ...] = ENGINES
    """Names of ENGINES, or "packaged:DIR", "raw:DIR", "vosk:DIR" for the model in a folder."""
    conditions: tuple[str, ...] = ()
    """Names of conditions; none: all of them (or the two of a quick run)."""
    voices: tuple[str, ...] = ()
    """Ids of voices; none: all of the split."""
    quick: bool = False
    """Every ninth sentence, clean and at 10 dB, and no timing of start-up."""
    noisy_share: float = 1.0
    """Share of the clips that the noisy conditions are heard with; clean has them all."""
    jobs: int = 1
    json_path: Path | None = None
    recordings: Path = RECORDINGS
    cache: Path = CACHE
    human: bool = True
    """Also real human speech: telephone prompts and readings."""
    timing: bool = True
    """Also latency, start-up, memory, and the speed of the matcher."""
    show_errors: bool = False
    """Print each wrong sentence; refused for the evaluation."""
