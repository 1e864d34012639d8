"""Start-up and memory, measured in a process of its own."""

from __future__ import annotations

import json
import subprocess
import sys
import time
from collections.abc import Sequence
from pathlib import Path

from dictate.bench.figures import Figures
from dictate.bench.problems import BenchError

_KILOBYTES_A_MEGABYTE = 1024


def probe(engine: str, recordings: Sequence[Path]) -> Figures:
    """Seconds from starting the program to listening, and its peak memory over the recordings.

    Raises BenchError when the process fails.
    """
    command = [sys.executable, "-m", "dictate.bench.probe_child", engine, *map(str, recordings)]
    began = time.time()
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    if done.returncode:
        cause = (done.stderr.strip().splitlines() or ["it gave no reason"])[-1]
        raise BenchError(f"{engine} could not be timed: {cause}")
    seen = json.loads(done.stdout.splitlines()[-1])
    return {
        "startup_s": round(seen["ready"] - began, 2),
        "startup_cpu_s": round(seen["ready_cpu"], 2),
        "peak_memory_mb": round(seen["peak_kb"] / _KILOBYTES_A_MEGABYTE),
    }
