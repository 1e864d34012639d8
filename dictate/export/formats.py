"""The documents a session can be written as, by name."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import partial
from types import MappingProxyType

from dictate.exam.session import Session
from dictate.export.extras import Extras
from dictate.export.fhir.bundle import fhir_json
from dictate.export.gather import extras_of
from dictate.export.letter import LetterDetails, letter_text
from dictate.export.markdown import markdown
from dictate.export.structured import as_json
from dictate.export.text import summary

Document = str | bytes
"""Text, to be written as UTF-8, or the bytes of a file."""


@dataclass(frozen=True, slots=True)
class Format:
    """One kind of document. Calling it makes the document of a session."""

    name: str
    ending: str
    """Of a file's name, without the dot."""
    make: Callable[[Session, Extras], Document]
    binary: bool = False
    """True if it is no text to be read on a screen."""

    def __call__(self, session: Session, extras: Extras | None = None) -> Document:
        """The document; without `extras`, with what the session itself says of earlier visits."""
        return self.make(session, extras_of(session) if extras is None else extras)


def _pdf(session: Session, extras: Extras) -> bytes:
    from dictate.export.pdf.summary import summary_pdf  # slow to load: letters and drawings

    return summary_pdf(session, extras)


def _calendar(session: Session, extras: Extras) -> str:
    from dictate.export.calendar import calendar_of

    return calendar_of(session, extras).decode()


def _letter_pdf(details: LetterDetails, session: Session, extras: Extras) -> bytes:
    from dictate.export.pdf.letter import letter_pdf

    return letter_pdf(session, details, extras)


def _letter_text(details: LetterDetails, session: Session, extras: Extras) -> str:
    return letter_text(session, details, extras)


def letter_writer(ending: str, details: LetterDetails) -> Callable[[Session, Extras], Document]:
    """Makes the letter of that ending with what only the sender knows; the rest is left blank."""
    return partial(_letter_pdf if ending == "letter.pdf" else _letter_text, details)


_FORMATS = (
    Format("text", "txt", summary),
    Format("markdown", "md", markdown),
    Format("pdf", "pdf", _pdf, binary=True),
    Format("json", "json", as_json),
    Format("fhir", "fhir", fhir_json),
    Format("ics", "ics", _calendar),
)
WRITERS: Mapping[str, Format] = MappingProxyType({each.name: each for each in _FORMATS})
"""By name."""
_BLANK = LetterDetails()
_LETTERS = (
    Format("letter", "letter.pdf", letter_writer("letter.pdf", _BLANK), binary=True),
    Format("letter-text", "letter.txt", letter_writer("letter.txt", _BLANK)),
)
BY_ENDING: Mapping[str, Format] = MappingProxyType(
    {each.ending: each for each in (*_FORMATS, *_LETTERS)}
)
"""Referral letters included, to be filled in by hand."""
