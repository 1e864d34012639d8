"""Utterances as clinicians say them, from `vocab/utterances.toml`.

The grammar of sentences knows what can be said; these show how it is said, by many hands. The
language model that holds the packaged engine to the trade's phrases learns from both.
"""

from __future__ import annotations

import re
from pathlib import Path

from dictate.errors import VocabularyError
from dictate.vocabulary.files import read_toml
from dictate.vocabulary.loader import default_folder

FILE = "utterances.toml"
_LINE = re.compile(r"[a-z']+( [a-z']+)*")


def utterances(folder: Path | None = None) -> tuple[tuple[str, ...], ...]:
    """The words of each utterance; VocabularyError names the line that is not plain words."""
    data = read_toml((folder or default_folder()) / FILE, FILE)
    said = data.get("said")
    if not isinstance(said, str) or set(data) != {"said"}:
        raise VocabularyError(f"{FILE}: it must hold one text, said")
    lines = said.strip().splitlines()
    for line in lines:
        if not _LINE.fullmatch(line):
            raise VocabularyError(f"{FILE}: {line!r}: lower-case words and single spaces only")
    return tuple(tuple(line.split()) for line in lines)
