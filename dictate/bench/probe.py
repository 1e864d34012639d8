"""Start-up and memory, measured in a process of its own.

Run as `python -m dictate.bench.probe ENGINE [FLAC ...]`: prints one JSON object when all is heard.
"""

from __future__ import annotations

import json
import resource
import subprocess
import sys
import time
from collections.abc import Sequence
from pathlib import Path

import soundfile

from dictate.bench.figures import Figures
from dictate.bench.problems import BenchError

_KILOBYTES_A_MEGABYTE = 1024


def probe(engine: str, recordings: Sequence[Path]) -> Figures:
    """Seconds from starting the program to listening, and its peak memory over the recordings.

    Raises BenchError when the process fails.
    """
    command = [sys.executable, "-m", __name__, engine, *map(str, recordings)]
    began = time.time()
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    if done.returncode:
        raise BenchError(f"{engine} could not be timed: {done.stderr.strip().splitlines()[-1:]}")
    seen = json.loads(done.stdout.splitlines()[-1])
    return {
        "startup_s": round(seen["ready"] - began, 2),
        "startup_cpu_s": round(seen["ready_cpu"], 2),
        "peak_memory_mb": round(seen["peak_kb"] / _KILOBYTES_A_MEGABYTE),
    }


def main(engine: str, recordings: Sequence[str]) -> None:
    """Be ready to listen, say when that was, then hear the recordings."""
    from dictate.audio.endpointer import Endpointer
    from dictate.bench.engines import open_engine
    from dictate.matching.matcher import Matcher
    from dictate.matching.reading import Context
    from dictate.vocabulary.loader import load

    lexicon = load()
    recogniser = open_engine(engine, lexicon)
    matcher, _ = Matcher(lexicon), Endpointer()
    ready, ready_cpu = time.time(), time.process_time()
    for path in recordings:
        samples, _ = soundfile.read(path, dtype="int16")
        recogniser.begin(0.0)
        recogniser.hear(samples)
        utterance = recogniser.finish()
        if utterance is not None:
            matcher.read(utterance, Context())
    peak_kb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    print(json.dumps({"ready": ready, "ready_cpu": ready_cpu, "peak_kb": peak_kb}))


if __name__ == "__main__":
    main(sys.argv[1], sys.argv[2:])
