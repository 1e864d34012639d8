"""The n-gram of a lexicon, learned once and kept in the user's cache."""

from __future__ import annotations

import hashlib
from contextlib import suppress
from pathlib import Path
from zipfile import BadZipFile

import numpy as np
import platformdirs

import dictate.vocabulary
from dictate.speech.packaged.corpus import corpus
from dictate.speech.packaged.language import learn
from dictate.speech.packaged.ngram import NGram
from dictate.vocabulary.grammar import FILE
from dictate.vocabulary.loader import default_folder
from dictate.vocabulary.schema import Lexicon
from dictate.vocabulary.utterances import FILE as UTTERANCES

_KEPT = "word-order-{}.npz"
_FORMER = "sentences-*.json"
"""What earlier versions kept instead."""
_UNORDERED = {"spelling", "bystanders"}
"""Parts of the lexicon that hold sets, which each process writes in another order; of these only
the American spellings count here."""
_MAKERS = ("corpus", "language", "ngram", "spelling")
"""Modules of this package that what is kept depends on."""


def kept_ngram(lexicon: Lexicon, folder: Path | None = None) -> NGram:
    """The n-gram of the lexicon, from the cache `folder` where it is already there."""
    folder = folder or platformdirs.user_cache_path("dictate")
    path = folder / _KEPT.format(_key(lexicon))
    kept = _read(path)
    if kept is None:
        kept = learn(lexicon, corpus(lexicon))
        _write(path, kept)
    return kept


def _key(lexicon: Lexicon) -> str:
    """Changes with the vocabulary, with the grammar, and with the code that learns from them."""
    digest = hashlib.sha256(lexicon.model_dump_json(exclude=_UNORDERED).encode())
    digest.update(repr(sorted(lexicon.spelling.american.items())).encode())
    for file in (FILE, UTTERANCES):
        digest.update((default_folder() / file).read_bytes())
    modules = sorted(Path(dictate.vocabulary.__file__).parent.glob("*.py"))
    modules += [Path(__file__).with_name(f"{name}.py") for name in _MAKERS]
    for module in modules:
        digest.update(module.read_bytes())
    return digest.hexdigest()[:16]


def _read(path: Path) -> NGram | None:
    try:
        with np.load(path, allow_pickle=False) as tables:
            return NGram.kept(dict(tables))
    except (OSError, ValueError, KeyError, EOFError, BadZipFile):
        return None


def _write(path: Path, made: NGram) -> None:
    """Keep it if that is possible; a cache that cannot be written only costs time."""
    with suppress(OSError):
        path.parent.mkdir(parents=True, exist_ok=True)
        for pattern in (_KEPT.format("*"), _FORMER):
            for old in path.parent.glob(pattern):
                old.unlink()
        part = path.with_suffix(".part")
        with part.open("wb") as file:
            np.savez(file, **made.tables())  # type: ignore[arg-type]  # none is "allow_pickle"
        part.replace(path)
