"""Real human speech to guard general English: telephone prompts, and readings in the wheel.

The prompts are those of Debian's `asterisk-core-sounds-en-wav` (Allison Smith; CC BY-SA 3.0) with
the transcript of `asterisk-core-sounds-en`. They are never trained on. Prompts at even places
choose the averaging weight, those at odd places are reported.
"""

from __future__ import annotations

import gzip
import re
from dataclasses import dataclass
from pathlib import Path

SOUNDS = Path("/usr/share/asterisk/sounds")
TRANSCRIPT = Path("/usr/share/doc/asterisk-core-sounds-en/core-sounds-en.txt.gz")
SHORTEST = 3
"""Words; single words say little about general speech."""


@dataclass(frozen=True)
class Spoken:
    """A recording and its words."""

    path: Path
    text: str


def _folder() -> Path:
    return next(each for each in sorted(SOUNDS.glob("en*")) if (each / "activated.wav").exists())


def prompts() -> list[Spoken]:
    """All prompts of at least three words, in the order of their names."""
    found = []
    folder = _folder()
    for line in gzip.decompress(TRANSCRIPT.read_bytes()).decode(errors="ignore").splitlines():
        match = re.match(r"^([\w/-]+): (.+)$", line)
        if match is None or set(match[2]) & set("[(") or line.startswith(";"):
            continue
        path = folder / f"{match[1]}.wav"
        if path.exists() and len(match[2].split()) >= SHORTEST:
            found.append(Spoken(path, match[2]))
    return sorted(found, key=lambda each: each.path)


def chooser() -> list[Spoken]:
    """The half of the prompts that settings may be chosen on."""
    return prompts()[::2]


def guard() -> list[Spoken]:
    """The half that is only reported."""
    return prompts()[1::2]
