"""Writing a document of a session, or the worklist, to a file of one's choice."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Input, Static

from dictate.exam.session import Session
from dictate.exam.worklist import DueRow
from dictate.export.extras import Extras
from dictate.export.letter import LetterDetails
from dictate.tui.ports import Writer, Writers
from dictate.tui.screens.addressing import LetterDialog
from dictate.tui.screens.protecting import ProtectDialog
from dictate.tui.screens.saving import Make, SavingDialog

_WHERE = "Put it where only those who may see it can."


class ExportDialog(SavingDialog):
    """A document of one session."""

    title_text = "Export a summary"
    warning = (
        "This file leaves the record store: anyone who can read it reads the patient's findings. "
        + _WHERE
    )
    more_keys = "F4 protects a PDF with a passphrase   F5 addresses a letter   "
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f4", "protect", "Protect", priority=True),
        Binding("f5", "address", "Address", priority=True),
    ]
    DEFAULT_CSS = """
    ExportDialog .mark { display: none; color: $success; }
    ExportDialog.-protected #protected { display: block; }
    ExportDialog.-addressed #addressed { display: block; }
    """

    def __init__(self, writers: Writers, session: Session, extras: Extras) -> None:
        """`session` need not be the running examination; `extras`: what is known beyond it."""
        super().__init__(tuple(writers), f"examination-{session.id}")
        self._writers, self._session, self._extras = writers, session, extras
        self._passphrase: str | None = None
        self._letter = LetterDetails()

    def notes(self) -> Sequence[Widget]:
        if self._session.is_final:
            return ()
        draft = "The record is a draft, not signed; the summary will say so."
        return (Static(Content.styled(f"! {draft}", "bold $warning")),)

    def marks(self) -> Sequence[Widget]:
        opens = "Protected: it opens with the passphrase only"
        return (
            Static(Content(opens), id="protected", classes="mark"),
            Static(Content("The letter is addressed"), id="addressed", classes="mark"),
        )

    def maker(self, ending: str) -> Make:
        """From the record as it is: it is made beside the screen."""
        session = Session.from_events(self._session.events)
        writer: Writer = self._writers[ending]
        if _is_letter(ending):
            from dictate.export.formats import letter_writer

            writer = letter_writer(ending, self._letter)
        make = partial(writer, session, self._extras)
        return make if self._passphrase is None else partial(_protected, make, self._passphrase)

    def takes_time(self, ending: str) -> bool:
        return getattr(self._writers[ending], "binary", False)

    def refused(self, ending: str) -> str:
        if self._passphrase is not None and not ending.endswith("pdf"):
            return "Only a PDF can be protected; F3 changes the kind, F4 protects no more."
        return ""

    def note_written(self, ending: str) -> None:
        if self.exam_app.clinic is not None:
            self.exam_app.clinic.exported(self._session, ending)

    def action_protect(self) -> None:
        """Ask for a passphrase that the PDF is to open with, or take it away again."""
        if self._passphrase is not None:
            self._protect(None)
        elif self._chosen().endswith("pdf"):
            self.app.push_screen(ProtectDialog(), self._protect)
        else:
            self.fail("Only a PDF can be protected; F3 changes the kind.")

    def _protect(self, passphrase: str | None) -> None:
        self._passphrase = passphrase
        self.set_class(passphrase is not None, "-protected")
        self.query_one(".error", Static).display = False

    def action_address(self) -> None:
        """Ask to whom and from whom the letter is, and what it asks."""
        if _is_letter(self._chosen()):
            self.app.push_screen(LetterDialog(self._letter), self._address)
        else:
            self.fail("Only a letter is addressed; F3 changes the kind.")

    def _address(self, details: LetterDetails | None) -> None:
        if details is not None:
            self._letter = details
            self.set_class(details != LetterDetails(), "-addressed")
            self.query_one(".error", Static).display = False

    def _chosen(self) -> str:
        return self.ending(self.query_one(Input).value)


class WorklistExportDialog(SavingDialog):
    """The worklist as it was on the screen."""

    title_text = "Export the worklist"
    warning = (
        "This file leaves the record store: a table (.csv) names patients and their findings, a "
        "calendar (.ics) names sessions only. " + _WHERE
    )

    def __init__(self, rows: Sequence[DueRow], day: str) -> None:
        from dictate.export.worklist import LIST_WRITERS

        super().__init__(tuple(LIST_WRITERS), f"worklist-{day}")
        self._rows, self._writers = tuple(rows), LIST_WRITERS

    def maker(self, ending: str) -> Make:
        return partial(self._writers[ending], self._rows)

    def note_written(self, ending: str) -> None:
        if self.exam_app.clinic is not None:
            self.exam_app.clinic.exported_list(f"worklist, {ending}")


def _is_letter(ending: str) -> bool:
    return ending.startswith("letter.")


def _protected(make: Make, passphrase: str) -> bytes:
    """Makes the document and encrypts it."""
    from dictate.export.pdf.protect import protected  # takes its time to import

    document = make()
    assert isinstance(document, bytes), "a PDF is bytes"
    return protected(document, passphrase)
