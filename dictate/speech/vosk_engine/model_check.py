"""What a Vosk model directory must hold, checked before anything loads it.

libvosk answers every fault with "Failed to create a model", or with a crash. The checks
name the file. They cannot prove a model whole: a trial load does the rest.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

from dictate.errors import EngineError

FST_MAGIC = b"\xd6\xfd\xb2\x7e"
_REMEDY = "unpack the model again, whole"
_SETTING = re.compile(r"\s*(#.*|--[\w.-]+=.*)?")
_IVECTOR = ("final.ie", "final.mat", "final.dubm", "global_cmvn.stats")
_FEATURES = ("mfcc.conf", "fbank.conf")


@dataclass(frozen=True, slots=True)
class ModelLayout:
    """A model directory that has every file it needs."""

    path: Path
    takes_grammar: bool
    """False for a model with one fixed graph: it cannot be held to the vocabulary."""
    size_bytes: int


def looks_like_model(path: Path) -> bool:
    """True if the folder is meant to be a Vosk model, even an incomplete one."""
    return any((path / name).exists() for name in ("am", "graph", "final.mdl", "HCLr.fst"))


def check_layout(path: Path) -> ModelLayout:
    """The model's layout. Raises EngineError that names the file that lacks or is broken."""
    if not path.exists():
        raise EngineError(f"{path}: no such folder; give the folder of an unpacked Vosk model")
    if not path.is_dir():
        raise EngineError(f"{path}: is no folder; unpack the archive and give the folder")
    if not looks_like_model(path):
        raise EngineError(f"{path}: is no Vosk model{_inner(path)}; it has no folder 'am'")
    files = _Files(path, flat=not (path / "am").exists())
    takes_grammar = files.check_graph()
    files.check_rest()
    size = sum(file.stat().st_size for file in path.rglob("*") if file.is_file())
    return ModelLayout(path, takes_grammar, size)


class _Files:
    """The files of one model; older models keep them all at the top ("flat")."""

    def __init__(self, path: Path, flat: bool) -> None:
        self._path = path
        self._acoustic = path if flat else path / "am"
        self._conf = path if flat else path / "conf"
        self._graph = path if flat else path / "graph"
        self._flat = flat

    def check_graph(self) -> bool:
        """True if the graph can take a grammar. A fixed graph wins where both are there."""
        if (self._graph / "HCLG.fst").exists():
            self._need_fst(self._graph / "HCLG.fst")
            self._need(self._graph / "words.txt")
            return False
        self._need_fst(self._graph / "HCLr.fst")
        self._need_fst(self._graph / "Gr.fst")
        self._need(self._graph / "disambig_tid.int")
        return True

    def check_rest(self) -> None:
        self._need(self._acoustic / "final.mdl")
        self._need_features()
        if not self._flat:
            self._need_settings(self._conf / "model.conf")
        ivector = self._path / "ivector"
        if ivector.exists():
            for name in _IVECTOR:
                self._need(ivector / name)
            self._need_file(ivector / "online_cmvn.conf")  # it may rightly be empty
            self._need_settings(ivector / self._splice())

    def _need_features(self) -> None:
        there = [self._conf / name for name in _FEATURES if (self._conf / name).exists()]
        if not there:
            raise EngineError(f"{self._conf / _FEATURES[0]}: is missing; {_REMEDY}")
        self._need_settings(there[0])

    def _splice(self) -> str:
        names = ("splice.conf", "splice_opts")
        return next((n for n in names if (self._path / "ivector" / n).exists()), names[0])

    def _need_file(self, file: Path) -> None:
        if not file.is_file():
            raise EngineError(f"{file}: is missing; {_REMEDY}")

    def _need(self, file: Path) -> None:
        self._need_file(file)
        if file.stat().st_size == 0:
            raise EngineError(f"{file}: is empty; {_REMEDY}")

    def _need_fst(self, file: Path) -> None:
        self._need(file)
        with file.open("rb") as opened:
            if opened.read(len(FST_MAGIC)) != FST_MAGIC:
                raise EngineError(f"{file}: is no graph (its first bytes are wrong); {_REMEDY}")

    def _need_settings(self, file: Path) -> None:
        self._need(file)
        for line in file.read_text(errors="replace").splitlines():
            if not all(_SETTING.fullmatch(part) for part in line.split()):
                raise EngineError(f"{file}: '{line}' is no setting; {_REMEDY}")


def _inner(path: Path) -> str:
    """A hint when the model lies one folder deeper, as archives often unpack."""
    for folder in sorted(path.iterdir()):
        if folder.is_dir() and looks_like_model(folder):
            return f" (but {folder} may be)"
    return ""
