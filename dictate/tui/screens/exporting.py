"""Writing a summary to a file of one's choice."""

from __future__ import annotations

import os
from itertools import chain, count
from pathlib import Path
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.content import Content
from textual.widgets import Input, Static

from dictate.errors import DictateError
from dictate.tui.plain import visible
from dictate.tui.ports import Writers
from dictate.tui.screens.asking import SpokenAskingDialog
from dictate.tui.screens.base import Dialog

WARNING = (
    "This file leaves the record store: anyone who can read it reads the patient's findings. "
    "Put it where only those who may see it can."
)


class ExportDialog(Dialog[None]):
    """The kind of document follows from the ending of the file's name."""

    answers: ClassVar[frozenset[str]] = frozenset({"confirm", "reject", "skip"})
    BINDINGS: ClassVar[list[BindingType]] = [Binding("f3", "kind", "Kind", priority=True)]

    def __init__(self, writers: Writers) -> None:
        super().__init__()
        self._writers = writers

    def compose(self) -> ComposeResult:
        kinds = ", ".join(f".{ending}" for ending in self._writers)
        with Vertical(classes="box"):
            yield Static(Content("Export a summary"), classes="title")
            if not self.desk.session.is_final:
                draft = "The record is a draft, not signed; the summary will say so."
                yield Static(Content.styled(f"! {draft}", "bold $warning"))
            yield Static(Content.styled(f"! {WARNING}", "$warning"))
            yield Input(value=str(self._proposal()))
            yield Static(classes="error")
            yield Static(
                Content(
                    f"enter or “yes” writes it   F3 or “next” changes the kind ({kinds})   "
                    "escape or “close” goes back"
                ),
                classes="hint",
            )

    def _proposal(self) -> Path:
        return self._free(f".{next(iter(self._writers))}")

    def _free(self, suffix: str) -> Path:
        """A name in the home folder that no file has yet."""
        name = f"examination-{self.desk.session.id[:12]}"
        numbered = (f"{name}-{number}" for number in count(2))
        paths = (Path.home() / f"{each}{suffix}" for each in chain((name,), numbered))
        return next(path for path in paths if not path.exists())

    def answer(self, value: str) -> None:
        if value == "reject":
            self.dismiss(None)
        elif value == "skip":
            self.action_kind()
        else:
            self._take(self.query_one(Input).value)

    def action_kind(self) -> None:
        field = self.query_one(Input)
        endings = list(self._writers)
        path = Path(field.value)
        ending = path.suffix.removeprefix(".")
        at = endings.index(ending) + 1 if ending in endings else 0
        field.value = str(path.with_suffix(f".{endings[at % len(endings)]}"))

    @on(Input.Submitted)
    def _enter(self, event: Input.Submitted) -> None:
        self._take(event.value)

    def _take(self, name: str) -> None:
        path = Path(name).expanduser()
        if path.suffix.removeprefix(".") not in self._writers:
            self._fail(f"A file name ends in {' or '.join(f'.{each}' for each in self._writers)}.")
        elif path.exists():
            question = SpokenAskingDialog(f"{path.name} is there already. Replace it?", str(path))
            self.app.push_screen(question, lambda yes: self._write(path) if yes else None)
        else:
            self._write(path)

    def _write(self, path: Path) -> None:
        try:
            document = self._writers[path.suffix.removeprefix(".")](self.desk.session)
            write_private(path, document)
        except (OSError, DictateError) as error:
            cause = error.strerror if isinstance(error, OSError) else str(error)
            self._fail(f"Not written: {cause}. Choose another place.")
        else:
            self.desk.tell(f"Written, outside the record store: {path}")
            self.dismiss(None)

    def _fail(self, why: str) -> None:
        error = self.query_one(".error", Static)
        error.update(Content(visible(why)))
        error.display = True


def write_private(path: Path, document: str | bytes) -> None:
    """Write a file that only its owner can read, whole or not at all. Raises OSError."""
    part = path.with_name(f".{path.name}.part")
    part.unlink(missing_ok=True)
    try:
        _fill(part, document.encode() if isinstance(document, str) else document)
        part.replace(path)
    except OSError:
        part.unlink(missing_ok=True)
        raise


def _fill(part: Path, content: bytes) -> None:
    flags = os.O_WRONLY | os.O_CREAT | os.O_EXCL
    with open(os.open(part, flags, 0o600), "wb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())
