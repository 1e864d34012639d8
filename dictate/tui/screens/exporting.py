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
from textual.widgets import Input, ProgressBar, Static

from dictate.errors import DictateError
from dictate.exam.session import Session
from dictate.export.extras import Extras
from dictate.tui.plain import visible
from dictate.tui.ports import Writer, Writers
from dictate.tui.screens.asking import SpokenAskingDialog
from dictate.tui.screens.base import Dialog
from dictate.tui.screens.protecting import ProtectDialog

WARNING = (
    "This file leaves the record store: anyone who can read it reads the patient's findings. "
    "Put it where only those who may see it can."
)


class ExportDialog(Dialog[None]):
    """The kind of document follows from the ending of the file's name."""

    answers: ClassVar[frozenset[str]] = frozenset({"confirm", "reject", "skip"})
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f3", "kind", "Kind", priority=True),
        Binding("f4", "protect", "Protect", priority=True),
    ]
    DEFAULT_CSS = """
    ExportDialog ProgressBar { display: none; }
    ExportDialog.-writing ProgressBar { display: block; }
    ExportDialog #protected { display: none; color: $success; }
    ExportDialog.-protected #protected { display: block; }
    """

    def __init__(self, writers: Writers, session: Session, extras: Extras) -> None:
        """`session` need not be the running examination; `extras`: what is known beyond it."""
        super().__init__()
        self._writers, self._session, self._extras = writers, session, extras
        self._passphrase: str | None = None

    def compose(self) -> ComposeResult:
        kinds = ", ".join(f".{ending}" for ending in self._writers)
        with Vertical(classes="box"):
            yield Static(Content("Export a summary"), classes="title")
            if not self._session.is_final:
                draft = "The record is a draft, not signed; the summary will say so."
                yield Static(Content.styled(f"! {draft}", "bold $warning"))
            yield Static(Content.styled(f"! {WARNING}", "$warning"))
            yield Input(value=str(self._proposal()))
            yield Static(Content("Protected: it opens with the passphrase only"), id="protected")
            yield ProgressBar(show_eta=False, show_percentage=False)
            yield Static(classes="error")
            yield Static(
                Content(
                    f"enter or “yes” writes it   F3 or “next” changes the kind ({kinds})   "
                    "F4 protects a PDF with a passphrase   escape or “close” goes back"
                ),
                classes="hint",
            )

    def _proposal(self) -> Path:
        return self._free(f".{next(iter(self._writers))}")

    def _free(self, suffix: str) -> Path:
        """A name in the home folder that no file has yet."""
        name = f"examination-{self._session.id[:12]}"
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
        ending = self._ending(field.value)
        at = endings.index(ending) + 1 if ending in endings else 0
        stem = field.value.removesuffix(f".{ending}")
        field.value = f"{stem}.{endings[at % len(endings)]}"

    def action_protect(self) -> None:
        """Ask for a passphrase that the PDF is to open with, or take it away again."""
        if self._passphrase is not None:
            self._protect(None)
        elif self._is_pdf(self.query_one(Input).value):
            self.app.push_screen(ProtectDialog(), self._protect)
        else:
            self._fail("Only a PDF can be protected; F3 changes the kind.")

    def _protect(self, passphrase: str | None) -> None:
        self._passphrase = passphrase
        self.set_class(passphrase is not None, "-protected")
        self.query_one(".error", Static).display = False

    def _is_pdf(self, name: str) -> bool:
        return self._ending(name).endswith("pdf")

    def _ending(self, name: str) -> str:
        """The longest ending of a kind of document that the name has; "" for none."""
        found = (each for each in self._writers if name.endswith(f".{each}"))
        return max(found, key=len, default="")

    @on(Input.Submitted)
    def _enter(self, event: Input.Submitted) -> None:
        self._take(event.value)

    def _take(self, name: str) -> None:
        path = Path(name).expanduser()
        if self.has_class("-writing"):
            return
        if not self._ending(path.name):
            self._fail(f"A file name ends in {' or '.join(f'.{each}' for each in self._writers)}.")
        elif self._passphrase is not None and not self._is_pdf(path.name):
            self._fail("Only a PDF can be protected; F3 changes the kind, F4 protects no more.")
        elif path.exists():
            question = SpokenAskingDialog(f"{path.name} is there already. Replace it?", str(path))
            self.app.push_screen(question, lambda yes: self._write(path) if yes else None)
        else:
            self._write(path)

    def _write(self, path: Path) -> None:
        """A document that takes its time is made beside the screen, from the record as it is."""
        session = Session.from_events(self._session.events)
        writer = self._writers[self._ending(path.name)]
        if self._passphrase is not None:
            writer = _Protecting(writer, self._passphrase)
        if not getattr(writer, "binary", False):
            self._written(path, _made(path, writer, session, self._extras))
            return
        self.set_class(True, "-writing")

        def make() -> None:
            cause = _made(path, writer, session, self._extras)
            self.app.call_from_thread(self._written, path, cause)

        self.run_worker(make, thread=True)

    def _written(self, path: Path, cause: str | None) -> None:
        self.set_class(False, "-writing")
        if cause is not None:
            self._fail(f"Not written: {cause}")
            return
        self.desk.tell(f"Written, outside the record store: {path}")
        if self.exam_app.clinic is not None:
            self.exam_app.clinic.exported(self._session, self._ending(path.name))
        if self.is_current:
            self.dismiss(None)

    def _fail(self, why: str) -> None:
        error = self.query_one(".error", Static)
        error.update(Content(visible(why)))
        error.display = True


class _Protecting:
    """Makes the document of another writer, encrypted."""

    binary = True

    def __init__(self, writer: Writer, passphrase: str) -> None:
        self._writer, self._passphrase = writer, passphrase

    def __call__(self, session: Session, extras: Extras) -> bytes:
        from dictate.export.pdf.protect import protected  # takes its time to import

        document = self._writer(session, extras)
        assert isinstance(document, bytes), "a PDF is bytes"
        return protected(document, self._passphrase)


def _made(path: Path, writer: Writer, session: Session, extras: Extras) -> str | None:
    """Write the document; why it was not written, if it was not."""
    try:
        write_private(path, writer(session, extras))
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
