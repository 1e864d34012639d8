"""The process that `probe` times: it loads what an examination loads, and nothing else.

Run as `python -m dictate.bench.probe_child ENGINE [FLAC ...]`; prints one JSON object.
"""

from __future__ import annotations

import json
import re
import resource
import sys
import time
from collections.abc import Sequence
from pathlib import Path


def main(engine: str, recordings: Sequence[str]) -> None:
    """Be ready to listen, say when that was, then hear the recordings."""
    from dictate.audio.endpointer import Endpointer
    from dictate.matching.matcher import Matcher
    from dictate.matching.reading import Context
    from dictate.speech.engines import choose_engine
    from dictate.vocabulary.loader import load

    lexicon = load()
    kind, _, folder = engine.partition(":")
    if kind in ("packaged", "vosk"):
        recogniser = choose_engine(kind, Path(folder) if folder else None, lexicon)
    else:
        from dictate.bench.engines import open_engine

        recogniser = open_engine(engine, lexicon)
    matcher, _endpointer = Matcher(lexicon), Endpointer()
    ready, ready_cpu = time.time(), time.process_time()
    for path in recordings:
        import soundfile

        samples, _rate = soundfile.read(path, dtype="int16")
        recogniser.begin(0.0)
        recogniser.hear(samples)
        utterance = recogniser.finish()
        if utterance is not None:
            matcher.read(utterance, Context())
    print(json.dumps({"ready": ready, "ready_cpu": ready_cpu, "peak_kb": _peak_kb()}))


def _peak_kb() -> int:
    """Peak memory of this program alone; what the system's counter says includes its parent's."""
    status = Path("/proc/self/status")
    if status.is_file():
        found = re.search(r"VmHWM:\s+(\d+) kB", status.read_text(encoding="ascii"))
        if found is not None:
            return int(found[1])
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss


if __name__ == "__main__":
    main(sys.argv[1], sys.argv[2:])
