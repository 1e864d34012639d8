"""Writing a file of one's choice outside the record store."""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from itertools import chain, count
from pathlib import Path
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Input, ProgressBar, Static

from dictate.errors import DictateError
from dictate.tui.plain import visible
from dictate.tui.screens.asking import SpokenAskingDialog
from dictate.tui.screens.base import Dialog

Make = Callable[[], str | bytes]


class SavingDialog(Dialog[None]):
    """The kind of document follows from the ending of the file's name."""

    answers: ClassVar[frozenset[str]] = frozenset({"confirm", "reject", "skip"})
    BINDINGS: ClassVar[list[BindingType]] = [Binding("f3", "kind", "Kind", priority=True)]
    DEFAULT_CSS = """
    SavingDialog ProgressBar { display: none; }
    SavingDialog.-writing ProgressBar { display: block; }
    """
    title_text: ClassVar[str]
    warning: ClassVar[str]
    more_keys: ClassVar[str] = ""
    """Keys of this dialog alone."""

    def __init__(self, endings: Sequence[str], stem: str) -> None:
        """`stem`: the proposed name, without ending, which says nothing of a patient."""
        super().__init__()
        self._endings, self._stem = tuple(endings), stem

    def compose(self) -> ComposeResult:
        with Vertical(classes="box"):
            yield Static(Content(self.title_text), classes="title")
            yield from self.notes()
            yield Static(Content.styled(f"! {self.warning}", "$warning"))
            yield Input(value=str(self._free(f".{self._endings[0]}")))
            yield from self.marks()
            yield ProgressBar(show_eta=False, show_percentage=False)
            yield Static(classes="error")
            kinds = ", ".join(f".{ending}" for ending in self._endings)
            yield Static(
                Content(
                    f"enter or “yes” writes it   F3 or “next” changes the kind ({kinds})   "
                    f"{self.more_keys}escape or “close” goes back"
                ),
                classes="hint",
            )

    def notes(self) -> Sequence[Widget]:
        """What is said before the warning."""
        return ()

    def marks(self) -> Sequence[Widget]:
        """What is said below the name."""
        return ()

    # What a kind of list or document does

    def maker(self, ending: str) -> Make:
        """What makes the document; it may run beside the screen."""
        raise NotImplementedError

    def takes_time(self, ending: str) -> bool:
        """True for a document that is made beside the screen."""
        return False

    def refused(self, ending: str) -> str:
        """Why this kind cannot be written now; "" if it can."""
        return ""

    def note_written(self, ending: str) -> None:
        """Keep in the audit trail that it was written."""

    # Name and kind

    def _free(self, suffix: str) -> Path:
        """A name in the home folder that no file has yet."""
        numbered = (f"{self._stem}-{number}" for number in count(2))
        paths = (Path.home() / f"{each}{suffix}" for each in chain((self._stem,), numbered))
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
        ending = self.ending(field.value)
        at = self._endings.index(ending) + 1 if ending in self._endings else 0
        stem = field.value.removesuffix(f".{ending}")
        field.value = f"{stem}.{self._endings[at % len(self._endings)]}"
        field.cursor_position = len(field.value)

    def ending(self, name: str) -> str:
        """The longest ending of a kind of document that the name has; "" for none."""
        found = (each for each in self._endings if name.endswith(f".{each}"))
        return max(found, key=len, default="")

    # Writing

    @on(Input.Submitted)
    def _enter(self, event: Input.Submitted) -> None:
        self._take(event.value)

    def _take(self, name: str) -> None:
        path = Path(name).expanduser()
        ending = self.ending(path.name)
        if self.has_class("-writing"):
            return
        if not ending:
            self.fail(f"A file name ends in {' or '.join(f'.{each}' for each in self._endings)}.")
        elif why := self.refused(ending):
            self.fail(why)
        elif path.exists():
            question = SpokenAskingDialog(f"{path.name} is there already. Replace it?", str(path))
            self.app.push_screen(question, lambda yes: self._write(path) if yes else None)
        else:
            self._write(path)

    def _write(self, path: Path) -> None:
        ending = self.ending(path.name)
        make = self.maker(ending)
        if not self.takes_time(ending):
            self._written(path, _made(path, make))
            return
        self.set_class(True, "-writing")

        def beside() -> None:
            cause = _made(path, make)
            self.app.call_from_thread(self._written, path, cause)

        self.run_worker(beside, thread=True)

    def _written(self, path: Path, cause: str | None) -> None:
        self.set_class(False, "-writing")
        if cause is not None:
            self.fail(f"Not written: {cause}")
            return
        self.desk.tell(f"Written, outside the record store: {path}")
        self.note_written(self.ending(path.name))
        if self.is_current:
            self.dismiss(None)

    def fail(self, why: str) -> None:
        """Show why it was not written."""
        error = self.query_one(".error", Static)
        error.update(Content(visible(why)))
        error.display = True


def _made(path: Path, make: Make) -> str | None:
    """Write the document; why it was not written, if it was not."""
    try:
        write_private(path, make())
    except DictateError as error:
        return str(error)
    except OSError as error:
        return f"{error.strerror}. Choose another place."
    return None


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
